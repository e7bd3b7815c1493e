/**
 * "Why is this dead?" against the truth of the demo boats: a sample of all combinations here, all
 * of them with `npm run truth`. What the panel cannot know the answer may not claim.
 */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { whyDead } from '../../../rules/index.ts';
import type { PartId } from '../../../rules/index.ts';
import {
  answersOf,
  asText,
  firstBreak,
  judge,
  loadDemo,
  newTally,
  observe,
  truthAt,
  truthCount,
} from './positions-truth.ts';
import type { Truth } from './positions-truth.ts';

const BOATS = ['sable-plover', 'willow-dipper'].map((name) => ({ name, boat: loadDemo(name) }));

describe.each(BOATS)('$name', ({ boat }) => {
  const truths = fc.nat(truthCount(boat) - 1).map((index) => truthAt(boat, index));

  test('no answer claims what is not so, with every sensor or with some silent', () => {
    const points = [...boat.points.keys()];
    fc.assert(
      fc.property(truths, fc.subarray(points), fc.boolean(), (truth, silent, isWhole) => {
        const tally = newTally();
        judge(boat, truth, observe(boat, truth, new Set(isWhole ? [] : silent)), tally);
        expect(tally.wrong).toEqual([]);
      }),
      { numRuns: 80 },
    );
  });

  test('somebody who has read off every position is told the first broken link exactly', () => {
    fc.assert(
      fc.property(truths, (truth) => {
        const panel = observe(boat, truth, new Set(), true);
        for (const bus of boat.buses) {
          const really = firstBreak(boat, truth, bus.id);
          const answer = whyDead(boat, panel, bus.id);
          const words = `${bus.id} ${answer?.sentence} [${asText(truth)}]`;
          expect(answer?.verdict, words).toBe(really === null ? 'reads voltage' : 'broken');
          expect(answer?.link, words).toBe(really);
        }
      }),
      { numRuns: 60 },
    );
  });

  test('what is not known says how to find out, and who may be the culprit', () => {
    fc.assert(
      fc.property(truths, (truth) => {
        const open = answersOf(boat, observe(boat, truth)).filter(
          ({ verdict }) => verdict === 'not known',
        );
        for (const answer of open) {
          expect(answer.doThis).not.toBe('');
          expect(answer.suspects.length, answer.sentence).toBeGreaterThan(0);
        }
      }),
      { numRuns: 30 },
    );
  });
});

/** Sable Plover with everything closed and on shore from the bow, but for what is given. */
function plover(changes: Record<PartId, string>, live = ['bow-inlet']): Truth {
  const positions = {
    'shore-selector': 'BOW',
    'supply-selector': 'SHORE',
    'house-selector': 'SUPPLY',
    'climate-main': 'closed',
    'house-main': 'closed',
    'dc-main': 'closed',
    ...changes,
  };
  return { positions: new Map(Object.entries(positions)), live: new Set([...live, 'house-bank']) };
}

describe('words', () => {
  const boat = loadDemo('sable-plover');
  const answer = (truth: Truth, id: PartId, areStated = true) =>
    whyDead(boat, observe(boat, truth, new Set(), areStated), id);

  test('an open main switch, with what to do first', () => {
    expect(answer(plover({ 'house-main': 'open' }), 'house-bus')).toMatchObject({
      verdict: 'broken',
      link: 'house-main',
      sentence:
        'House bus reads no voltage: HOUSE MAIN is open or has tripped, going by what somebody said.',
    });
  });

  test('a selector on a position that feeds nothing, with where voltage is to be had', () => {
    const truth = plover({ 'house-selector': 'OFF', 'house-main': 'open' });
    const found = answer(truth, 'house-bus');
    expect(found?.link).toBe('house-selector');
    expect(found?.sentence).toBe(
      'House bus reads no voltage: HOUSE stands on OFF, which feeds nothing, going by what somebody said.',
    );
    expect(found?.doThis).toBe(
      'If nobody switched it off on purpose, turn HOUSE to SUPPLY (SUPPLY), which has voltage, heavy loads off first.',
    );
    expect(found?.also).toEqual(['HOUSE MAIN further down is open as well.']);
  });

  test('a source without voltage, with the caution of its plug', () => {
    const found = answer(plover({}, []), 'climate-bus');
    expect(found?.sentence).toBe('Climate bus reads no voltage: Bow inlet reads no voltage.');
    expect(found?.cautions.join(' ')).toContain('before you touch the shore cord');
  });

  test('a circuit on a live bus is never said to be off', () => {
    const found = answer(plover({}), 'water-heater');
    expect(found?.verdict).toBe('own breaker');
    expect(found?.sentence).toBe(
      'House bus reads voltage, and Water heater draws nothing to speak of: its breaker H-1 may be off or have tripped, which no sensor sees, or it may rest or be unplugged.',
    );
  });

  test('a circuit tells what it needs and what its standing order is', () => {
    const press = answer(plover({ 'house-main': 'open' }), 'trash-press');
    expect(press?.link).toBe('house-main');
    expect(press?.also).toContain('It is out of service.');
    const air = answer(plover({}), 'guest-air');
    expect(air?.also).toEqual(['It needs Cooling water pump running first, which draws nothing.']);
  });

  test('a bus that nothing measures is not said to be without voltage', () => {
    const found = answer(plover({ 'dc-main': 'open' }), 'dc-bus', false);
    expect(found?.verdict).toBe('not known');
    expect(found?.sentence).toBe(
      'Whether DC bus has voltage is not known (no sensor measures the voltage of DC bus): DC MAIN may be open.',
    );
    expect(found?.doThis).toContain('Read off at DC MAIN');
  });

  test('what is no bus and no circuit has no answer', () => {
    expect(answer(plover({}), 'bow-inlet')).toBeNull();
  });
});
