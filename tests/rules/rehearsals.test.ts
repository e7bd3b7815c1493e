/**
 * Every rule as text: each file in `tests/rehearsals/` is played through the watch on the small
 * test boat. Those in `wrong/` must fail, so that the runner is known to see what it should.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { readBoat, rehearsalSchema, rehearse } from '../../rules/index.ts';
import type { Rehearsal } from '../../rules/index.ts';

const FOLDER = new URL('../rehearsals/', import.meta.url);
const boatText = readFileSync(new URL('../fixtures/boats/small.yaml', import.meta.url), 'utf8');
const { boat } = readBoat(boatText, 'small.yaml');
if (!boat) throw new Error('the small test boat is not usable');

const filesIn = (folder: URL): string[] =>
  readdirSync(folder).filter((name) => name.endsWith('.yaml'));

function load(name: string, folder: URL): Rehearsal {
  return rehearsalSchema.parse(parse(readFileSync(new URL(name, folder), 'utf8')));
}

describe('rehearsals come as expected', () => {
  test.each(filesIn(FOLDER))('%s', (name) => {
    expect(rehearse(boat, load(name, FOLDER))).toEqual({ misses: [] });
  });
});

describe('rehearsals that must fail do', () => {
  const wrong = new URL('wrong/', FOLDER);
  test.each(filesIn(wrong))('%s', (name) => {
    const outcome = rehearse(boat, load(name, wrong));
    expect('problems' in outcome ? outcome.problems : outcome.misses).not.toEqual([]);
  });
});
