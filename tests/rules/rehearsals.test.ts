/**
 * Every rule as text: each file in `tests/rehearsals/` is played through the watch on the small
 * test boat, those in a folder on the test boat of the folder's name. Those in `wrong/` must fail,
 * so that the runner is known to see what it should.
 */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { readBoat, rehearsalSchema, rehearse } from '../../rules/index.ts';
import type { Boat, Rehearsal } from '../../rules/index.ts';

const FOLDER = new URL('../rehearsals/', import.meta.url);
const BOATS = new URL('../fixtures/boats/', import.meta.url);

function boatNamed(name: string): Boat {
  const { boat } = readBoat(readFileSync(new URL(`${name}.yaml`, BOATS), 'utf8'), name);
  if (!boat) throw new Error(`the test boat ${name} is not usable`);
  return boat;
}

const small = boatNamed('small');
const folders = readdirSync(FOLDER, { withFileTypes: true })
  .filter((entry) => entry.isDirectory() && entry.name !== 'wrong')
  .map((entry) => entry.name);

const filesIn = (folder: URL): string[] =>
  readdirSync(folder).filter((name) => name.endsWith('.yaml'));

function load(name: string, folder: URL): Rehearsal {
  return rehearsalSchema.parse(parse(readFileSync(new URL(name, folder), 'utf8')));
}

describe('rehearsals come as expected', () => {
  test.each(filesIn(FOLDER))('%s', (name) => {
    expect(rehearse(small, load(name, FOLDER))).toEqual({ misses: [] });
  });
});

describe.each(folders)('rehearsals of %s come as expected', (own) => {
  const folder = new URL(`${own}/`, FOLDER);
  const boat = existsSync(new URL(`${own}.yaml`, BOATS)) ? boatNamed(own) : small;
  test.each(filesIn(folder))('%s', (name) => {
    expect(rehearse(boat, load(name, folder))).toEqual({ misses: [] });
  });
});

describe('rehearsals that must fail do', () => {
  const wrong = new URL('wrong/', FOLDER);
  test.each(filesIn(wrong))('%s', (name) => {
    const outcome = rehearse(small, load(name, wrong));
    expect('problems' in outcome ? outcome.problems : outcome.misses).not.toEqual([]);
  });
});
