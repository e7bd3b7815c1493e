/** The real daemon for the page's bench, with sensors that all speak once a second. */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { createInterface } from 'node:readline';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { startClock } from '../../daemon/clock.ts';
import { startDaemon } from '../../daemon/daemon.ts';
import type { Boat } from '../../rules/index.ts';
import { exactReading, seeded } from '../rules/panel/random-boats.ts';
import { benchBoat, liveTruth } from './per-reading.ts';

export interface PageBoat {
  address: string;
  stop: () => Promise<void>;
}

/**
 * An invented boat with so many circuits, each of them measured, loads changing all the time.
 * `prepare` may fill its data folder before it starts.
 */
export async function startBenchBoat(
  circuits: number,
  prepare: (dataFolder: string, boat: Boat) => void = () => {},
): Promise<PageBoat> {
  const boat = benchBoat(circuits);
  const truth = liveTruth(boat);
  const random = seeded(11);
  const clock = startClock();
  const dataFolder = mkdtempSync(join(tmpdir(), 'panelward-bench-'));
  prepare(dataFolder, boat);
  const daemon = await startDaemon({
    boat,
    clock,
    dataFolder,
    host: '127.0.0.1',
    port: 0,
    log: () => {},
    intake: { mqtt: { broker: 'embedded', port: 0 } },
  });
  if ('problem' in daemon) throw new Error(daemon.problem);
  const stopSpeaking = clock.every(1000, () => {
    for (const point of boat.points.values()) {
      const value = exactReading(boat, truth, point, 0.4) ?? 0;
      const moved = typeof value === 'number' ? value * (1 + 0.02 * random()) : value;
      daemon.station.take({ pointId: point.id, value: moved, atMs: clock.nowMs() });
    }
  });
  return {
    address: daemon.address,
    async stop() {
      stopSpeaking();
      await daemon.stop();
      rmSync(dataFolder, { recursive: true, force: true });
    },
  };
}

/** The demonstration as a person starts it, in a process of its own. */
export async function startDemoBoat(): Promise<PageBoat> {
  const main = new URL('../../../daemon/main.js', import.meta.url).pathname;
  const boat = spawn(process.execPath, [main, 'demo', '--port', '0'], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  for await (const line of createInterface(boat.stdout)) {
    const address = /http:\/\/[\d.:]+/.exec(line)?.[0];
    if (address === undefined) continue;
    return {
      address,
      stop: async () => {
        boat.kill('SIGTERM');
        await once(boat, 'exit');
      },
    };
  }
  throw new Error('The demo boat ended before it said where its page is.');
}
