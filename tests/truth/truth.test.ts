/**
 * The comparison with the simulator's truth, shortened for the ordinary suite: one seed of the
 * cases that are over within half an hour, a healthy day, a few shore losses and changes of source.
 * The whole: `npm run truth`.
 */
import { describe, expect, test } from 'vitest';
import { caseTable, playSeeds } from './case-table.ts';
import { CASES } from './cases/index.ts';
import { playChanges } from './changing-sources.ts';
import { addHealthy, healthyText, playHealthy } from './healthy-days.ts';
import { scoreText } from './positions.ts';
import { lossesText, medianOf, playLosses } from './shore-losses.ts';

/** Cases that last no longer than this are quick. */
const QUICK_MINUTES = 30;
const SEEDS = [1];

describe('against the truth', () => {
  for (const own of CASES.filter(({ minutes }) => minutes <= QUICK_MINUTES)) {
    test(`${own.id} ${own.title}`, () => {
      const result = playSeeds(own, SEEDS);
      const judged = result.rows.filter(({ met }) => met !== null);
      const failed = judged.filter(({ met, seeds }) => met !== seeds);
      expect(result.falseAlerts, caseTable([result])).toEqual([]);
      if (own.stillMissed === undefined) expect(failed, caseTable([result])).toEqual([]);
      else expect(failed, `met now: take "${own.stillMissed}" out of the case`).not.toEqual([]);
    });
  }

  test('three shore losses are all told within seconds', () => {
    const own = playLosses(1, 3);
    expect(own.missed, lossesText(own)).toEqual([]);
    expect(own.falseLosses).toBe(0);
    expect(medianOf(own.delaysSeconds) ?? Infinity).toBeLessThanOrEqual(5);
    expect(own.odd, lossesText(own)).toEqual([]);
  });

  test('a healthy day on bad sensor networks says nothing that would leave the boat', () => {
    const own = addHealthy([playHealthy('willow-dipper', 2, 1)]);
    expect(own.examples, healthyText(own)).toEqual([]);
    expect(own.letters, healthyText(own)).toBe(0);
    expect(own.falseShoreLosses + own.emergencies, healthyText(own)).toBe(0);
    expect(own.positions.sureAndWrong, healthyText(own)).toBe(0);
  });

  test('what feeds what is told rightly, or not at all', () => {
    const own = playChanges(1, 1);
    expect(own.wrongs, scoreText(own)).toEqual([]);
    expect(own.feedsRight, scoreText(own)).toBeGreaterThanOrEqual(0.95 * own.minutes);
  });
});
