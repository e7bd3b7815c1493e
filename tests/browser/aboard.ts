/** The real daemon for a browser test: on ports and in a folder of its own, gone with the test. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onTestFinished } from 'vitest';
import { startClock } from '../../daemon/clock.ts';
import { startDaemon } from '../../daemon/daemon.ts';
import type { Daemon, DaemonOptions } from '../../daemon/daemon.ts';
import { readBoat } from '../../rules/index.ts';
import type { Boat } from '../../rules/index.ts';

/** `path` is relative to this folder. */
export function boatAboard(path: string): Boat {
  const { boat } = readBoat(readFileSync(new URL(path, import.meta.url), 'utf8'), path);
  if (!boat) throw new Error(`${path} is not usable`);
  return boat;
}

/** Stops when the test is over; `intake` is a broker of its own unless it says otherwise. */
export async function startAboard(
  boat: Boat,
  intake: NonNullable<DaemonOptions['intake']> = { mqtt: { broker: 'embedded', port: 0 } },
  more: Pick<DaemonOptions, 'settings' | 'tellConsole'> = {},
): Promise<Daemon> {
  const dataFolder = mkdtempSync(join(tmpdir(), 'panelward-page-'));
  const daemon = await startDaemon({
    boat,
    clock: startClock(),
    dataFolder,
    host: '127.0.0.1',
    port: 0,
    log: () => {},
    intake,
    ...more,
  });
  if ('problem' in daemon) throw new Error(daemon.problem);
  onTestFinished(async () => {
    await daemon.stop();
    rmSync(dataFolder, { recursive: true, force: true });
  });
  return daemon;
}
