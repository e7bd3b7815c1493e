/**
 * The simulated boat as a process of its own: `node simulator/main.js --boat FILE --broker URL`.
 * Prints one JSON line when it publishes; ends on SIGTERM, SIGINT, or when its parent is gone.
 * Exit codes: 0 stopped, 1 cannot start, 2 wrong arguments or boat file.
 */
import { fstatSync, readFileSync } from 'node:fs';
import { formatProblem, readBoat } from '../rules/index.ts';
import type { Boat } from '../rules/index.ts';
import type { Arguments } from './arguments.ts';
import { readArguments } from './arguments.ts';
import { startMarineDataServer } from './marine/marine-data-server.ts';
import { pathMetaOf } from './marine/path-meta.ts';
import { startPublisher } from './publisher.ts';
import { DEFAULT_SCENARIO, scenarioNamed, scenariosFor } from './scenarios/index.ts';
import type { Scenario } from './scenarios/scenario.ts';
import { SHIPS, shipOf } from './ships/index.ts';
import type { Ship } from './ships/ship.ts';
import { MARINE_SELF, createSimulation } from './simulation.ts';

interface Play {
  boat: Boat;
  ship: Ship;
  scenario: Scenario;
  /** Time of day at the start; absent: the scenario's. */
  startsAt?: string;
}

const LONGEST_GOODBYE_MS = 2000;

const args = readArguments(process.argv.slice(2));
if ('problem' in args) giveUp(args.problem, 2);
else await play(args, choosePlay(args));

function giveUp(problem: string, code: 1 | 2): never {
  process.stderr.write(`simulator: ${problem}\n`);
  process.exit(code);
}

function choosePlay({ boatFile, scenario: name }: Arguments): Play {
  const boat = loadBoat(boatFile);
  const ship = shipOf(boat.name);
  if (ship === undefined) {
    const names = SHIPS.map(({ boatName }) => boatName).join(', ');
    giveUp(`no physics for the boat ${JSON.stringify(boat.name)}; there are ${names}`, 2);
  }
  if (name === null) {
    const now = new Date();
    const startsAt = `${now.getHours()}:${String(now.getMinutes()).padStart(2, '0')}`;
    return { boat, ship, scenario: DEFAULT_SCENARIO, startsAt };
  }
  const fitting = scenariosFor(boat.name);
  const scenario = scenarioNamed(name);
  if (scenario === undefined || !fitting.includes(scenario)) {
    const names = fitting.map((one) => one.name).join(', ');
    giveUp(`scenario ${name} is not for ${boat.name}; there are ${names}`, 2);
  }
  return { boat, ship, scenario };
}

function loadBoat(file: string): Boat {
  let text;
  try {
    text = readFileSync(file, 'utf8');
  } catch (error) {
    giveUp(`cannot read the boat file: ${error instanceof Error ? error.message : file}`, 2);
  }
  const { boat, problems } = readBoat(text, file);
  if (boat !== null) return boat;
  const first = problems.find(({ severity }) => severity === 'error');
  giveUp(first === undefined ? `${file} is no sound boat file` : formatProblem(first), 2);
}

async function play(
  { broker, marineDataPort, seed, speed, isLooping }: Arguments,
  { boat, ship, scenario, startsAt }: Play,
): Promise<void> {
  const meta = pathMetaOf(boat);
  let wallMs = (): number => Date.now();
  const marineData = await startMarineDataServer({
    port: marineDataPort,
    self: MARINE_SELF,
    meta,
    wallMs: () => wallMs(),
    speed,
  }).catch((error: Error) => giveUp(`cannot serve open marine data: ${error.message}`, 1));
  const publisher = startPublisher({
    broker,
    speed,
    begin: (epochMs) =>
      createSimulation({
        boat,
        ship,
        scenario,
        seed,
        epochMs,
        ...(startsAt === undefined ? {} : { startsAt }),
      }),
    loopMs: isLooping ? scenario.minutes * 60_000 : null,
    publishDelta: (delta) => marineData.publish(delta),
    onProblem: (problem) => process.stderr.write(`simulator: broker: ${problem}\n`),
  });
  wallMs = () => publisher.wallMs();

  const stop = async (): Promise<void> => {
    // A broker that does not answer the goodbye must not keep this process alive.
    setTimeout(() => process.exit(0), LONGEST_GOODBYE_MS).unref();
    await Promise.all([publisher.stop(), marineData.close()]);
    process.exit(0);
  };
  stopWithParent(() => void stop());
  await publisher.isSpeaking;
  process.stdout.write(`${JSON.stringify({ ready: true, marineDataPort: marineData.port })}\n`);
}

/** No orphan is left: a pipe or channel to the parent closes when it ends, however it ends. */
function stopWithParent(stop: () => void): void {
  process.once('SIGTERM', stop);
  process.once('SIGINT', stop);
  process.once('disconnect', stop);
  const input = fstatSync(0);
  // A terminal or /dev/null says nothing about a parent.
  if (!input.isFIFO() && !input.isSocket()) return;
  process.stdin.once('close', stop).once('error', stop).resume();
}
