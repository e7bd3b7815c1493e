/** How the page is guarded, by where it listens and what the settings say. */
import { chmodSync, existsSync, mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, onTestFinished, test } from 'vitest';
import { makeTls } from '../../daemon/access/tls-making.ts';
import { manualClock } from '../../daemon/clock.ts';
import { openPageAccess } from '../../daemon/page-access.ts';
import { DEFAULT_SETTINGS, type Settings } from '../../daemon/settings/settings.ts';
import { newFolder, START_MS } from './access/fixtures.ts';

const DAY_MS = 24 * 3_600_000;

function opened(
  host: string,
  page: Partial<Settings['page']> = {},
  { folder = newFolder(), nowMs = START_MS } = {},
) {
  const [lines, console]: [string[], string[]] = [[], []];
  const access = openPageAccess({
    folder,
    clock: manualClock(nowMs),
    wallNowMs: () => nowMs,
    host,
    page: { ...DEFAULT_SETTINGS.page, ...page },
    log: (line) => lines.push(line),
    tellConsole: (line) => console.push(line),
  });
  onTestFinished(() => access.close());
  return { ...access, lines, console, folder };
}

describe('on this computer only', () => {
  test('nobody signs in, and nothing is complained of', () => {
    const { api, problems, lines, console } = opened('127.0.0.1');
    expect(api).toMatchObject({
      access: { loopbackRole: 'technician', isGuestOpen: false },
      host: '127.0.0.1',
    });
    expect([problems(), lines, console]).toEqual([[], [], []]);
  });

  test('everybody signs in where the settings say so, for a proxy in front', () => {
    const { api, console } = opened('127.0.0.1', { loopbackRole: 'none' });
    expect(api.access.loopbackRole).toBeNull();
    expect(console.join()).toMatch(/One-time code .*: \d{4} \d{4}$/);
  });
});

describe('on the network', () => {
  test('the first run has its code on the console and in a file, and in no log', () => {
    const { folder, lines, console } = opened('0.0.0.0');
    const code = /(\d{4}) (\d{4})/.exec(console.join())?.slice(1).join('') ?? 'none';
    expect(code).toMatch(/^\d{8}$/);
    expect(existsSync(join(folder, 'first-sign-in-code.txt'))).toBe(true);
    expect(lines.join('\n')).toMatch(/first-sign-in-code\.txt/);
    expect(lines.join('\n')).not.toContain(code);
    expect(lines.join('\n')).not.toContain(code.slice(0, 4));
  });

  test('without TLS that is said, in the log and on the health page', () => {
    const { problems, lines, api } = opened('0.0.0.0');
    expect(api.tls).toBeUndefined();
    expect(api.access.loopbackRole).toBe('crew');
    expect(lines.join()).toMatch(/without TLS/);
    expect(problems().join()).toMatch(/without TLS.*panelward tls/);
  });

  test('with the boat’s own certificate it is by TLS, which is told 30 days before its end', async () => {
    const folder = newFolder();
    const names = ['pi.local'];
    const made = await makeTls(folder, { boat: 'Testing', names, nowMs: START_MS });
    if ('problem' in made) throw new Error(made.problem);
    const now = opened('0.0.0.0', {}, { folder });
    expect(now.api.tls).toMatchObject({ isStrict: false });
    expect(now.problems()).toEqual([]);
    const late = opened('0.0.0.0', {}, { folder, nowMs: made.endsAtMs - 29 * DAY_MS });
    expect(late.problems().join()).toMatch(/ends in 29 days.*panelward tls/);
    const over = opened('0.0.0.0', {}, { folder, nowMs: made.endsAtMs + DAY_MS });
    expect(over.problems().join()).toMatch(/ends today or is over/);
  });

  test('with a certificate that is no good the page stays on this computer', () => {
    const { api, problems } = opened('0.0.0.0', { tls: { cert: 'no.crt', key: 'no.key' } });
    expect(api.host).toBe('127.0.0.1');
    expect(api.tls).toBeUndefined();
    expect(problems().join()).toMatch(/no usable certificate.*only this computer/);
  });
});

test('a file that cannot be opened lets nobody in, and the daemon starts all the same', () => {
  const folder = newFolder();
  mkdirSync(join(folder, 'access.db'));
  writeFileSync(join(folder, 'access.db', 'x'), '');
  chmodSync(join(folder, 'access.db'), 0o700);
  const { api, problems } = opened('0.0.0.0', {}, { folder });
  expect(api.access.desk).toBeNull();
  expect(problems().join()).toMatch(/nobody can sign in/);
});
