/**
 * Says what a scenario is about, so that whoever starts the boat's side knows which boat it is:
 * `node simulator/describe.js [--scenario NAME]` prints one JSON object. Exit code 2: no such name.
 */
import { existsSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { DEFAULT_SCENARIO, scenarioNamed, SCENARIOS } from './scenarios/index.ts';
import type { Scenario } from './scenarios/scenario.ts';
import { SHIPS } from './ships/index.ts';
import { clockMs } from './ships/day-plan.ts';

const [DEFAULT_SHIP] = SHIPS;

/** Boat files lie beside the source, wherever this program was built to. */
function boatFileOf(boatName: string): string {
  const name = `${boatName.toLowerCase().replaceAll(' ', '-')}.yaml`;
  let folder = dirname(fileURLToPath(import.meta.url));
  while (!existsSync(join(folder, 'simulator', 'boats', name))) {
    const above = dirname(folder);
    if (above === folder) throw new Error(`there is no boat file ${name}`);
    folder = above;
  }
  return join(folder, 'simulator', 'boats', name);
}

function describe(scenario: Scenario, isNamed: boolean): string {
  return JSON.stringify({
    boatFile: boatFileOf(scenario.boatName ?? DEFAULT_SHIP?.boatName ?? ''),
    startsAtMinutes: isNamed ? clockMs(scenario.startsAt) / 60_000 : null,
    story: scenario.tells,
  });
}

const { values } = parseArgs({ options: { scenario: { type: 'string' } }, strict: true });
const scenario = values.scenario === undefined ? DEFAULT_SCENARIO : scenarioNamed(values.scenario);
if (scenario === undefined) {
  const names = SCENARIOS.map(({ name }) => name).join(', ');
  process.stderr.write(`There is no scenario "${values.scenario}"; there are ${names}.\n`);
  process.exitCode = 2;
} else {
  process.stdout.write(`${describe(scenario, values.scenario !== undefined)}\n`);
}
