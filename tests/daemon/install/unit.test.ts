/** The unit that `panelward unit` prints, judged by systemd's own programs (Debian's systemd). */
import { execFile } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { describe, expect, onTestFinished, test } from 'vitest';
import { readArguments } from '../../../daemon/arguments.ts';
import { unitText } from '../../../daemon/install/unit.ts';

const run = promisify(execFile);

/** The unit for a command line, as it is printed on a computer where panelward lies in /opt. */
function unitFor(line: string, node = '/usr/bin/node'): string | { problem: string } {
  const command = readArguments(['unit', ...line.split(' ')]);
  if ('problem' in command) return command;
  if (command.command !== 'unit') throw new Error('another command');
  return unitText({ ...command, node, program: '/opt/panelward/.build/daemon/main.js' });
}

function printed(unit: string | { problem: string }): string {
  if (typeof unit !== 'string') throw new Error(unit.problem);
  return unit;
}

function onDisk(unit: string | { problem: string }): string {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-unit-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  const file = join(folder, 'panelward.service');
  writeFileSync(file, printed(unit));
  return file;
}

const BOAT = '--boat /etc/panelward/boat.yaml';
const VARIANTS = [
  BOAT,
  `${BOAT} --user panelward --secrets /etc/panelward/secrets.yaml --host 0.0.0.0`,
  `${BOAT} --user panelward --data /srv/panelward`,
];

describe('the unit', () => {
  test.each(VARIANTS)('%s is exposed by 2.0 at most, as systemd-analyze judges', async (line) => {
    const file = onDisk(unitFor(line));
    const args = ['security', '--offline=true', '--threshold=20', '--no-pager', file];
    // With a threshold the program fails where the exposure is above it, in tenths.
    const { stdout } = await run('systemd-analyze', args);
    const exposure = /Overall exposure level for panelward\.service: ([\d.]+)/.exec(stdout)?.[1];
    expect(Number(exposure)).toBeGreaterThan(0);
    expect(Number(exposure)).toBeLessThanOrEqual(2);
  });

  test.each(VARIANTS)('%s has nothing that systemd does not know', async (line) => {
    const file = onDisk(unitFor(line, process.execPath));
    expect((await run('systemd-analyze', ['verify', file])).stderr).toBe('');
  });

  test('is refused by the same judge when a word in it is wrong', async () => {
    const file = onDisk(unitFor(BOAT, process.execPath));
    writeFileSync(file, '[Service]\nExecStart=/bin/true\nProtectSystm=strict\n');
    expect((await run('systemd-analyze', ['verify', file])).stderr).toContain('ProtectSystm');
  });

  test('starts for ever, says when it is ready, and is started again when it hangs', () => {
    const lines = printed(unitFor(BOAT)).split('\n');
    for (const line of [
      'Type=notify',
      'NotifyAccess=all',
      'WatchdogSec=30',
      'Restart=always',
      'RestartSec=2',
      'StartLimitIntervalSec=0',
      'MemoryMax=512M',
      'TasksMax=128',
      'DynamicUser=yes',
      'StateDirectory=panelward',
      'StateDirectoryMode=0700',
      'ExecStart=/usr/bin/node /opt/panelward/.build/daemon/main.js run --boat /etc/panelward/boat.yaml --data %S/panelward',
    ]) {
      expect(lines).toContain(line);
    }
  });

  test('has the secrets from a file that panelward itself cannot reach', () => {
    expect(unitFor(VARIANTS[1] ?? '')).toContain(
      'LoadCredential=secrets.yaml:/etc/panelward/secrets.yaml\n',
    );
  });

  // systemd.service(5), "Command lines": $$ and %% stand for one of each.
  test('takes words with blanks, quotes, $ and % as they are', () => {
    const unit = unitText({
      node: '/usr/bin/node',
      program: '/opt/p/main.js',
      boat: '/etc/my "boat"/50% $X.yaml',
      data: null,
      user: null,
      secrets: null,
      options: new Map([['mqtt', 'mqtt://[2001:db8::1]:1883']]),
    });
    expect(unit).toContain(
      String.raw`--boat "/etc/my \"boat\"/50%% $$X.yaml" --data %S/panelward --mqtt mqtt://[2001:db8::1]:1883`,
    );
  });

  test.each([
    ['--boat boat.yaml', '--boat must be a whole path'],
    ['--boat /home/pi/boat.yaml', '--boat lies in /home/pi/boat.yaml'],
    [`${BOAT} --data /srv/p`, '--data needs --user'],
    [`${BOAT} --user Pi!`, '--user must be the name of an account'],
    ['--user panelward', 'run needs a boat file'],
    [`${BOAT} --port 99999`, '--port must be a whole number'],
    [`${BOAT} --speed 2`, '--speed does not go with'],
  ])('%s is refused: %s', (line, words) => {
    expect(unitFor(line)).toEqual({ problem: expect.stringContaining(words) });
  });
});
