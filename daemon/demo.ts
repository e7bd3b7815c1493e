/** The demonstration: a daemon and, beside it, a simulated boat that publishes to it as sensors would. */
import { mkdtempSync, rmSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { DemoCommand } from './commands.ts';
import { openBoatFile } from './boat-file.ts';
import { startClock } from './clock.ts';
import type { Daemon } from './daemon.ts';
import { startDaemon } from './daemon.ts';
import { describeScenario, startSimulator } from './simulator-process.ts';

export interface Demo {
  daemon: Daemon;
  /** What truly happens, in one or two sentences. */
  story: string;
  boatName: string;
  stop(): Promise<void>;
}

export async function startDemo(
  command: DemoCommand,
  print: (line: string) => void,
  tellConsole?: (line: string) => void,
): Promise<Demo | { problem: string }> {
  // While the two processes come up and go down they miss each other; that is no news.
  let isUp = false;
  const log = (line: string): void => {
    if (isUp) print(line);
  };
  const described = await describeScenario(command.scenario);
  if ('problem' in described) return described;
  const { boat, lines } = openBoatFile(described.boatFile);
  if (!boat) return { problem: lines.join('\n') };

  const isTemporary = command.data === null;
  const dataFolder = command.data ?? mkdtempSync(join(tmpdir(), 'panelward-demo-'));
  const marineDataPort = await freePort();
  const daemon = await startDaemon({
    boat,
    clock: startClock({ speed: command.speed, startMs: startOf(described.startsAtMinutes) }),
    dataFolder,
    host: command.host,
    port: command.port,
    log,
    intake: {
      mqtt: { broker: 'embedded', port: 0 },
      // Links live in real time, however fast the boat does.
      linkClock: startClock(),
      marineDataUrl: `ws://127.0.0.1:${marineDataPort}/signalk/v1/stream?subscribe=none`,
    },
    demo: { scenario: command.scenario, speed: command.speed },
    ...(tellConsole && { tellConsole }),
    isStartedLater: true,
  });
  const forget = (): void => {
    if (isTemporary) rmSync(dataFolder, { recursive: true, force: true });
  };
  if ('problem' in daemon) {
    forget();
    return daemon;
  }
  const simulator = await startSimulator({
    boatFile: described.boatFile,
    broker: `mqtt://${daemon.mqttAddress}`,
    marineDataPort,
    scenario: command.scenario,
    seed: command.seed,
    speed: command.speed,
    log,
  });
  const stopDaemon = async (): Promise<void> => {
    await daemon.stop();
    forget();
  };
  if ('problem' in simulator) {
    await stopDaemon();
    return simulator;
  }
  await untilHeard(daemon);
  daemon.station.start();
  isUp = true;
  return {
    daemon,
    story: described.story,
    boatName: boat.name,
    async stop() {
      isUp = false;
      await simulator.stop();
      await stopDaemon();
    },
  };
}

/**
 * Waits until the simulated boat is connected both ways, some seconds at most: in a fast
 * demonstration the first real second would otherwise be a minute of silence.
 */
async function untilHeard(daemon: Daemon): Promise<void> {
  const realTime = startClock();
  for (let tries = 0; tries < 50; tries++) {
    if (daemon.intakeHealth().marineData?.isConnected === true) return;
    await new Promise<void>((resolve) => {
      realTime.after(100, resolve);
    });
  }
}

/** A port that was free a moment ago. */
function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const server = createServer();
    server.once('error', reject);
    server.listen(0, '127.0.0.1', () => {
      const address = server.address();
      const port = typeof address === 'object' && address ? address.port : 0;
      server.close(() => resolve(port));
    });
  });
}

/** Today at the scenario's hour, so that the page and the story tell the same time; now without one. */
function startOf(startsAtMinutes: number | null): number {
  const now = startClock().nowMs();
  if (startsAtMinutes === null) return now;
  const day = new Date(now);
  day.setHours(0, startsAtMinutes, 0, 0);
  return day.getTime();
}
