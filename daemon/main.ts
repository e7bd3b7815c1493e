#!/usr/bin/env node
/** The command line: arguments, signals and exit codes; nothing else reads or sets them. */
import { homedir } from 'node:os';
import { once } from 'node:events';
import { join, resolve } from 'node:path';
import type { Boat } from '../rules/index.ts';
import { runAccess } from './access-commands.ts';
import { readArguments } from './arguments.ts';
import { openAshoreOffice } from './ashore-office.ts';
import type { Command, DemoCommand, LookBack, RunCommand, WatchCommand } from './commands.ts';
import { openBoatFile } from './boat-file.ts';
import { checkFiles, checkSettings, rehearseFiles } from './check.ts';
import { startClock, wallNowMs } from './clock.ts';
import { startDaemon } from './daemon.ts';
import { startDemo } from './demo.ts';
import { unitText } from './install/unit.ts';
import { checkHistory } from './history-check.ts';
import { tellHistory } from './history-info.ts';
import { makeBackup, putBack } from './keeping.ts';
import { exportReadings, replaySpan, surveySpan } from './looking-back.ts';
import type { Output } from './looking-back.ts';
import { makeSensorToken } from './sensor-token.ts';
import { measureLoopLag } from './service/loop-lag.ts';
import { openNotify } from './service/notify.ts';
import { testWays } from './notify.ts';
import { openSettings } from './settings/open-settings.ts';
import type { OpenedSettings } from './settings/open-settings.ts';
import { lastRecordedMs } from './store/store.ts';
import { systemWall } from './system-wall.ts';
import { ownNames } from './own-names.ts';
import { readPassword } from './password-prompt.ts';
import { USAGE } from './usage.ts';
import { packageVersion } from './version.ts';
import { ashoreClock, startAshore } from './watch-ashore.ts';
import { startingMs } from './wall-clock.ts';

const EXIT_OK = 0;
const EXIT_PROBLEM = 1;
const EXIT_USAGE = 2;

const say = (line: string): void => void process.stdout.write(`${line}\n`);
const complain = (line: string): void => void process.stderr.write(`panelward: ${line}\n`);

const CAUTION =
  'panelward informs; it never switches. No reading proves a circuit dead or a supply safe.';

const stateFolder = (): string =>
  join(process.env['XDG_STATE_HOME'] ?? join(homedir(), '.local', 'state'), 'panelward');

/** Where the service manager keeps secrets (systemd `LoadCredential=`), if it does. */
function credentialsFolder(): { secretsFolder?: string } {
  const folder = process.env['CREDENTIALS_DIRECTORY'];
  return folder === undefined ? {} : { secretsFolder: folder };
}

/** As it was called: a link to the present version stays right after an upgrade. */
const programPath = (): string => resolve(process.argv[1] ?? '');

/** Waits for the first signal to end; a second one ends at once. */
function untilSignal(): Promise<void> {
  return new Promise((done) => {
    const end = (): void => {
      process.once('SIGINT', () => process.exit(EXIT_PROBLEM));
      process.once('SIGTERM', () => process.exit(EXIT_PROBLEM));
      done();
    };
    process.once('SIGINT', end);
    process.once('SIGTERM', end);
  });
}

/** The boat file and the settings; null when something is wrong with them, which has been told then. */
function openFiles(
  command: Pick<RunCommand, 'boat' | 'data' | 'settings'>,
): { boat: Boat; dataFolder: string; opened: OpenedSettings } | null {
  const { boat, lines } = openBoatFile(command.boat);
  for (const line of lines) process.stderr.write(`${line}\n`);
  if (!boat) return null;
  const dataFolder = command.data ?? stateFolder();
  const opened = openSettings({
    folder: dataFolder,
    ...(command.settings !== null && { settingsFile: command.settings }),
    ...credentialsFolder(),
  });
  if (!('problems' in opened)) return { boat, dataFolder, opened };
  for (const line of opened.problems) process.stderr.write(`${line}\n`);
  return null;
}

async function run(command: RunCommand): Promise<number> {
  const files = openFiles(command);
  if (files === null) return EXIT_PROBLEM;
  const { boat, dataFolder, opened } = files;
  const wall = systemWall();
  const clock = startClock({ startMs: startingMs(wall.nowMs(), lastRecordedMs(dataFolder)) });
  const daemon = await startDaemon({
    boat,
    clock,
    wall,
    isWatchingItself: true,
    dataFolder,
    host: command.host,
    port: command.port,
    log: complain,
    // Under a service manager our output is a log, and a code in a log is no secret.
    ...(process.stdout.isTTY && { tellConsole: say }),
    ...opened,
    intake: {
      ...(command.mqtt === null ? {} : { mqtt: { broker: command.mqtt } }),
      ...(command.mqttPort === null
        ? {}
        : { mqtt: { broker: 'embedded' as const, port: command.mqttPort } }),
      mqttHost: command.mqttHost,
      ...(command.marineData === null ? {} : { marineDataUrl: command.marineData }),
    },
  });
  if ('problem' in daemon) {
    complain(daemon.problem);
    return EXIT_PROBLEM;
  }
  say(`${boat.name}: the page is at ${daemon.address}`);
  say(`Sensors publish to MQTT at ${daemon.mqttAddress}. ${CAUTION}`);
  const lag = measureLoopLag();
  const notify = openNotify({
    environment: process.env,
    pid: process.pid,
    clock,
    lag,
    lastEvaluationMs: () => daemon.station.evaluation.lastAtMs,
    log: complain,
  });
  await notify.ready(`Watching ${boat.name}; the page is at ${daemon.address}`);
  await untilSignal();
  await notify.stopping();
  lag.stop();
  await daemon.stop();
  return EXIT_OK;
}

async function demo(command: DemoCommand): Promise<number> {
  const started = await startDemo(command, complain, process.stdout.isTTY ? say : undefined);
  if ('problem' in started) {
    complain(started.problem);
    return EXIT_PROBLEM;
  }
  say(`${started.boatName} is simulated. ${started.story}`);
  say(`The page is at ${started.daemon.address}   (Ctrl-C ends it)`);
  say(CAUTION);
  await untilSignal();
  await started.stop();
  return EXIT_OK;
}

async function tryWays(command: Extract<Command, { command: 'notify' }>): Promise<number> {
  const files = openFiles(command);
  if (files === null) return EXIT_PROBLEM;
  const { boat, dataFolder, opened } = files;
  const { mqtt } = boat.intake;
  const brokerUrl = 'port' in mqtt ? `mqtt://127.0.0.1:${mqtt.port}` : mqtt.broker;
  const { way: only } = command;
  const test = { ...opened, boatName: boat.name, dataFolder, only, brokerUrl, clock: startClock() };
  return (await testWays(test, say)) ? EXIT_OK : EXIT_PROBLEM;
}

async function watch(command: WatchCommand): Promise<number> {
  const folder = command.data ?? `${stateFolder()}-ashore`;
  const opened = openSettings({
    folder,
    ...(command.settings !== null && { settingsFile: command.settings }),
    ...credentialsFolder(),
  });
  if ('problems' in opened) {
    for (const line of opened.problems) process.stderr.write(`${line}\n`);
    return EXIT_PROBLEM;
  }
  const { host, port } = command;
  const wall = systemWall();
  const clock = ashoreClock(folder, wall.nowMs());
  const log = complain;
  const office = openAshoreOffice({
    ...opened,
    folder,
    clock,
    wall,
    random: Math.random,
    log,
  });
  if ('problem' in office) {
    complain(office.problem);
    return EXIT_PROBLEM;
  }
  const ashore = await startAshore({
    ...opened,
    folder,
    host,
    port,
    clock,
    utcNowMs: () => wall.nowMs(),
    tell: (letter) => office.tell(letter),
    problems: () => office.problems(),
    log,
  });
  if ('problem' in ashore) {
    complain(ashore.problem);
    await office.stop();
    return EXIT_PROBLEM;
  }
  say(`Beats are heard at ${ashore.address}/beats/BOAT, with BOAT as in the settings.`);
  await untilSignal();
  await ashore.stop();
  await office.stop();
  return EXIT_OK;
}

const TO_STDOUT: Output = {
  async write(text) {
    if (!process.stdout.write(text)) await once(process.stdout, 'drain');
  },
  note: complain,
};

const where = (command: LookBack): { folder: string; nowMs: number } => ({
  folder: command.data ?? stateFolder(),
  nowMs: wallNowMs(),
});

async function main(args: string[]): Promise<number> {
  const command = readArguments(args);
  if ('problem' in command) {
    complain(`${command.problem}\nTry: panelward --help`);
    return EXIT_USAGE;
  }
  switch (command.command) {
    case 'help':
      say(USAGE);
      return EXIT_OK;
    case 'version':
      say(packageVersion());
      return EXIT_OK;
    case 'check':
      return Math.max(
        checkFiles(command.files, say),
        command.settings === undefined ? EXIT_OK : checkSettings(command.settings, say),
      );
    case 'unit': {
      const unit = unitText({ ...command, node: process.execPath, program: programPath() });
      if (typeof unit === 'string') say(unit.trimEnd());
      else complain(unit.problem);
      return typeof unit === 'string' ? EXIT_OK : EXIT_PROBLEM;
    }
    case 'access':
      return await runAccess(command, {
        folder: command.data ?? stateFolder(),
        clock: startClock({ startMs: wallNowMs() }),
        say,
        complain,
        readPassword,
      });
    case 'tls': {
      // Loaded only here: what makes certificates weighs more than what reads them.
      const { runTls } = await import('./tls-command.ts');
      return runTls(command, {
        folder: command.data ?? stateFolder(),
        ownNames: ownNames(),
        nowMs: wallNowMs(),
        say,
        complain,
      });
    }
    case 'sensor-token':
      for (const line of makeSensorToken(command.name).lines) say(line);
      return EXIT_OK;
    case 'notify':
      return await tryWays(command);
    case 'rehearse':
      return rehearseFiles(command.boat, command.files, say);
    case 'history info':
      return await tellHistory(command.data ?? stateFolder(), say);
    case 'history check':
      return checkHistory(command.data ?? stateFolder(), say);
    case 'backup': {
      const folder = command.data ?? stateFolder();
      const { target } = command;
      return makeBackup({ folder, target, nowMs: wallNowMs() }, say);
    }
    case 'restore':
      return putBack({ folder: command.data ?? stateFolder(), source: command.source }, say);
    case 'export':
      return await exportReadings({ ...command, ...where(command) }, TO_STDOUT);
    case 'survey':
      return await surveySpan({ ...command, ...where(command) }, TO_STDOUT);
    case 'replay':
      return await replaySpan({ ...command, ...where(command) }, TO_STDOUT);
    case 'run':
      return await run(command);
    case 'demo':
      return await demo(command);
    case 'watch':
      return await watch(command);
  }
}

// Whoever reads what we print may have enough of it: `panelward export ... | head`.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code !== 'EPIPE') throw error;
  process.exit(EXIT_OK);
});

process.exitCode = await main(process.argv.slice(2));
