/** "Why is this dead?" over every combination of positions and sources of both demo boats. */
import { expect, test } from 'vitest';
import {
  judge,
  loadDemo,
  newTally,
  observe,
  truthAt,
  truthCount,
} from '../rules/why-dead/positions-truth.ts';

test.each(['sable-plover', 'willow-dipper'])('%s: no answer claims what is not so', (name) => {
  const boat = loadDemo(name);
  const [cold, read] = [newTally(), newTally()];
  const count = truthCount(boat);
  for (let index = 0; index < count; index++) {
    const truth = truthAt(boat, index);
    judge(boat, truth, observe(boat, truth), cold);
    // Once somebody has read off every position there is nothing left that is not known.
    judge(boat, truth, observe(boat, truth, new Set(), true), read);
  }
  for (const { asked, told, notKnown, wrong } of [cold, read]) {
    console.log(
      `${name}: ${count} combinations, ${asked} answers, ${told} name the link, ${notKnown} not known, ${wrong.length} wrong`,
    );
  }
  expect([...cold.wrong, ...read.wrong].slice(0, 20)).toEqual([]);
  expect(cold.told).toBeGreaterThan(0);
  expect(read.notKnown).toBe(0);
});
