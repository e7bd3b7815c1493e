/**
 * Wrong boat files, each with the problems that a person is told, word for word. The fixtures are
 * pairs: `NAME.yaml` and `NAME.expected.txt`. To add one, write both; the first comment line of the
 * YAML says what is wrong with it.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { formatProblem } from '../../../rules/boat/problem.ts';
import { readBoat } from '../../../rules/boat/read-boat.ts';

const FOLDER = new URL('../../fixtures/boats/wrong/', import.meta.url);
const files = readdirSync(FOLDER);
const names = files.filter((file) => file.endsWith('.yaml')).map((file) => file.slice(0, -5));

describe('a wrong boat file', () => {
  it.each(names)('%s is told what is wrong with it', (name) => {
    const text = readFileSync(new URL(`${name}.yaml`, FOLDER), 'utf8');
    const expected = readFileSync(new URL(`${name}.expected.txt`, FOLDER), 'utf8');
    const { boat, problems } = readBoat(text, `${name}.yaml`);
    expect(boat).toBeNull();
    expect(problems.some(({ severity }) => severity === 'error')).toBe(true);
    expect(problems.map((problem) => `${formatProblem(problem)}\n`).join('')).toBe(expected);
  });

  it('has its expected problems beside it, and none is left over', () => {
    const expected = files.filter((file) => file.endsWith('.expected.txt'));
    expect(expected.map((file) => file.slice(0, -13)).sort()).toEqual(names.toSorted());
    expect(names.length).toBeGreaterThanOrEqual(30);
  });
});
