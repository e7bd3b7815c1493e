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
  const tally = newTally();
  const count = truthCount(boat);
  for (let index = 0; index < count; index++) {
    const truth = truthAt(boat, index);
    judge(boat, truth, observe(boat, truth), tally);
  }
  const { asked, told, notKnown, wrong } = tally;
  console.log(
    `${name}: ${count} combinations, ${asked} answers, ${told} name the link, ${notKnown} not known, ${wrong.length} wrong`,
  );
  expect(wrong.slice(0, 20)).toEqual([]);
  expect(told).toBeGreaterThan(asked / 10);
});
