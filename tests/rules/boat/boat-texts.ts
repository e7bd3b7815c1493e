/** Boat files for the tests in this folder. */
import { readFileSync } from 'node:fs';
import type { Boat } from '../../../rules/boat/boat.ts';
import { formatProblem } from '../../../rules/boat/problem.ts';
import { readBoat } from '../../../rules/boat/read-boat.ts';

const BOATS = new URL('../../../simulator/boats/', import.meta.url);

export const DEMO_BOATS = ['sable-plover', 'willow-dipper'] as const;

export function demoText(name: (typeof DEMO_BOATS)[number]): string {
  return readFileSync(new URL(`${name}.yaml`, BOATS), 'utf8');
}

/** The boat of a text that must have no error; throws with its problems otherwise. */
export function boatOf(text: string): Boat {
  const { boat, problems } = readBoat(text, 'boat.yaml');
  if (boat === null) throw new Error(problems.map(formatProblem).join('\n'));
  return boat;
}

/** Problems as lines, of a file called `b`. */
export function linesOf(text: string): string[] {
  return readBoat(text, 'b').problems.map(formatProblem);
}
