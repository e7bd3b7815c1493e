/** What systemd is told: over a real datagram socket, by the real systemd-notify. */
import { spawn } from 'node:child_process';
import type { ChildProcess } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { describe, expect, onTestFinished, test } from 'vitest';
import { manualClock, startClock } from '../../../daemon/clock.ts';
import { measureLoopLag } from '../../../daemon/service/loop-lag.ts';
import { openNotify } from '../../../daemon/service/notify.ts';
import type { NotifyOptions } from '../../../daemon/service/notify.ts';

const START_MS = 1_700_000_000_000;

/** Prints what arrives on a datagram socket, a line of JSON each. */
const LISTENER = `
import json, os, socket, sys
s = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
s.bind(sys.argv[1])
print('"listening"', flush=True)
while True:
    words = s.recv(4096).decode()
    if words != 'BARRIER=1': print(json.dumps(words), flush=True)
`;

/** A notify socket, as systemd has one; null where there is no python3 to make it. */
async function socket(): Promise<{ path: string; told: string[] }> {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-notify-'));
  const path = join(folder, 'notify');
  const child: ChildProcess = spawn('python3', ['-c', LISTENER, path]);
  onTestFinished(() => {
    child.kill();
    rmSync(folder, { recursive: true, force: true });
  });
  const told: string[] = [];
  if (!child.stdout) throw new Error('python3 says nothing');
  createInterface({ input: child.stdout }).on('line', (line) => {
    for (const word of String(JSON.parse(line)).split('\n')) if (word !== '') told.push(word);
  });
  await until(() => told.includes('listening') && existsSync(path));
  told.length = 0;
  return { path, told };
}

async function until(isSo: () => boolean): Promise<void> {
  const clock = startClock();
  for (let tries = 0; tries < 1000 && !isSo(); tries++) {
    await new Promise<void>((resolve) => void clock.after(10, resolve));
  }
  expect(isSo()).toBe(true);
}

function options(own: Partial<NotifyOptions> = {}): NotifyOptions {
  return {
    environment: {},
    pid: 4711,
    clock: manualClock(START_MS),
    lag: { take: () => ({ p99Ms: 0, greatestMs: 0 }) },
    lastEvaluationMs: () => START_MS,
    log: () => {},
    ...own,
  };
}

describe('systemd', () => {
  test('hears that panelward is ready, that it is well, and that it stops', async () => {
    const { path, told } = await socket();
    const clock = manualClock(START_MS);
    const environment = { ...process.env, NOTIFY_SOCKET: path, WATCHDOG_USEC: '30000000' };
    const notify = openNotify(
      options({ environment, clock, lastEvaluationMs: () => clock.nowMs() }),
    );
    await notify.ready('Watching Sable Plover.\nThe page is there.');
    await until(() => told.length >= 2);
    expect(told).toEqual(['READY=1', 'STATUS=Watching Sable Plover. The page is there.']);
    clock.advanceTo(START_MS + 9_999);
    clock.advanceTo(START_MS + 10_000);
    await until(() => told.length >= 3);
    expect(told.slice(2)).toEqual(['WATCHDOG=1']);
    await notify.stopping();
    await until(() => told.length >= 5);
    expect(told.slice(3)).toEqual(['STOPPING=1', 'STATUS=Stopping.']);
  });

  test('hears nothing more once evaluation hangs, and again when it goes on', async () => {
    const { path, told } = await socket();
    const clock = manualClock(START_MS);
    let lastMs = START_MS;
    const said: string[] = [];
    const environment = { ...process.env, NOTIFY_SOCKET: path, WATCHDOG_USEC: '30000000' };
    const notify = openNotify(
      options({
        environment,
        clock,
        lastEvaluationMs: () => lastMs,
        log: (line) => said.push(line),
      }),
    );
    await notify.ready('Watching.');
    lastMs = START_MS + 9_000;
    clock.advanceTo(START_MS + 10_000);
    await until(() => told.includes('WATCHDOG=1'));
    clock.advanceTo(START_MS + 60_000);
    expect(notify.withheld).toBe('the last evaluation was 51 s ago.');
    expect(said).toEqual([
      'The watchdog is not told that all is well: the last evaluation was 11 s ago.',
    ]);
    const before = told.length;
    await until(() => {
      lastMs = clock.nowMs() + 9_000;
      clock.advanceTo(clock.nowMs() + 10_000);
      return told.length > before;
    });
    expect(told.at(-1)).toBe('WATCHDOG=1');
    expect(notify.withheld).toBeNull();
  });

  test('hears nothing while the event loop is a second late, or before the first evaluation', async () => {
    const clock = manualClock(START_MS);
    let greatestMs = 1000;
    let lastMs: number | null = null;
    const environment = { NOTIFY_SOCKET: '/nowhere', WATCHDOG_USEC: '3000000' };
    const notify = openNotify(
      options({
        environment,
        clock,
        program: '/bin/true',
        lag: { take: () => ({ p99Ms: 0, greatestMs }) },
        lastEvaluationMs: () => lastMs,
      }),
    );
    await notify.ready('Watching.');
    clock.advanceTo(START_MS + 1000);
    expect(notify.withheld).toBe('the event loop was 1000 ms late.');
    greatestMs = 999;
    clock.advanceTo(START_MS + 2000);
    expect(notify.withheld).toBe('nothing has been evaluated yet.');
    lastMs = START_MS + 2000;
    clock.advanceTo(START_MS + 3000);
    expect(notify.withheld).toBeNull();
  });

  test('without its socket nothing is started, and a watchdog for another process is not ours', async () => {
    const said: string[] = [];
    const program = '/nowhere/systemd-notify';
    const log = (line: string): void => void said.push(line);
    const notify = openNotify(options({ program, log }));
    await notify.ready('Watching.');
    expect(said).toEqual([]);
    const environment = { NOTIFY_SOCKET: '/nowhere', WATCHDOG_USEC: '3000000', WATCHDOG_PID: '1' };
    const clock = manualClock(START_MS);
    const other = openNotify(
      options({ environment, clock, program: '/bin/true', lastEvaluationMs: () => null }),
    );
    await other.ready('Watching.');
    clock.advanceTo(START_MS + 10_000);
    expect(other.withheld).toBeNull();
  });

  test('that cannot be told is said once in the log, and panelward goes on', async () => {
    const said: string[] = [];
    const environment = { NOTIFY_SOCKET: '/nowhere' };
    const log = (line: string): void => void said.push(line);
    const notify = openNotify(options({ environment, program: '/nowhere/systemd-notify', log }));
    await notify.ready('Watching.');
    await notify.stopping();
    expect(said).toHaveLength(1);
    expect(said[0]).toContain('systemd cannot be told anything');
  });
});

describe('the lag of the event loop', () => {
  test('is seen when something blocks it, and begins anew', async () => {
    const lag = measureLoopLag();
    onTestFinished(() => lag.stop());
    const clock = startClock();
    await new Promise<void>((resolve) => void clock.after(60, resolve));
    const endMs = clock.nowMs() + 300;
    while (clock.nowMs() < endMs);
    await new Promise<void>((resolve) => void clock.after(60, resolve));
    expect(lag.take().greatestMs).toBeGreaterThan(200);
    await new Promise<void>((resolve) => void clock.after(60, resolve));
    expect(lag.take().greatestMs).toBeLessThan(200);
  });
});
