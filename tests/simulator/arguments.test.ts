import { expect, test } from 'vitest';
import { readArguments } from '../../simulator/arguments.ts';

const NEEDED = ['--boat', 'a.yaml', '--broker', 'mqtt://127.0.0.1:1883'];

test('defaults', () => {
  expect(readArguments(NEEDED)).toEqual({
    boatFile: 'a.yaml',
    broker: 'mqtt://127.0.0.1:1883',
    marineDataPort: 0,
    scenario: null,
    seed: 1,
    speed: 1,
    isLooping: false,
  });
});

test('all of them', () => {
  const more = '--marine-data-port 3000 --scenario quiet-day --seed 7 --speed 60 --loop'.split(' ');
  expect(readArguments([...NEEDED, ...more])).toMatchObject({
    marineDataPort: 3000,
    scenario: 'quiet-day',
    seed: 7,
    speed: 60,
    isLooping: true,
  });
});

test.each([
  [[], /--boat is missing/],
  [['--boat', 'a.yaml'], /--broker is missing/],
  [['--boat', 'a.yaml', '--broker', 'http://x'], /--broker: expected mqtt:\/\/HOST:PORT, got/],
  [[...NEEDED, '--scenario', 'storm'], /--scenario: expected one of demo, .*got "storm"/],
  [[...NEEDED, '--marine-data-port', '70000'], /--marine-data-port: expected 0 to 65535/],
  [[...NEEDED, '--seed', '-1'], /seed/],
  [[...NEEDED, '--seed', '1.5'], /--seed: expected a whole number/],
  [[...NEEDED, '--speed', '0'], /--speed: expected a number from 0.1/],
  [[...NEEDED, '--speed', 'fast'], /--speed/],
  [[...NEEDED, '--sped', '2'], /--sped/],
  [[...NEEDED, 'more'], /more/],
])('%j is told apart in one line', (args, problem) => {
  const read = readArguments(args);
  const told = 'problem' in read ? read.problem : '';
  expect(told).toMatch(problem);
  expect(told).not.toContain('\n');
});
