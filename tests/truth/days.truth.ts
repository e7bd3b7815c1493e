/** A year of healthy days, on both boats, against the goals for false alerts. */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, inject, test } from 'vitest';
import { addHealthy, healthyText, playHealthy } from './healthy-days.ts';
import { addLosses, lossesText, medianOf, playLosses } from './shore-losses.ts';
import { addScore, noScore, scoreText } from './positions.ts';
import { playChanges } from './changing-sources.ts';
import { partsOf, SIZES } from './sizes.ts';

/** Days in a row with one seed, so that what is learned over weeks is learned. */
const MOST_DAYS = 31;
const MOST_LOSSES = 20;
const MOST_HOURS = 8;

const keep = (name: string, text: string): void =>
  writeFileSync(join(inject('tables'), name), text);

describe('long runs', () => {
  test('shore power goes at random times', () => {
    const own = addLosses(
      partsOf(SIZES.losses, MOST_LOSSES).map((losses, at) => playLosses(at + 1, losses)),
    );
    keep('2-losses.txt', lossesText(own));
    expect(own.missed).toEqual([]);
    expect(own.falseLosses).toBe(0);
    expect(medianOf(own.delaysSeconds) ?? 0).toBeLessThanOrEqual(5);
    expect(own.odd).toEqual([]);
  });

  test('somebody changes sources all day', () => {
    const own = noScore();
    partsOf(SIZES.changeHours, MOST_HOURS).forEach((hours, at) => {
      addScore(own, playChanges(at + 1, hours));
    });
    keep('3-changes.txt', `Changing sources every 12 to 30 min\n${scoreText(own)}`);
    expect(own.sureAndWrong).toBe(0);
    expect(own.feedsRight).toBeGreaterThanOrEqual(0.95 * own.minutes);
  });

  test('healthy days', () => {
    const own = addHealthy(
      partsOf(SIZES.days, MOST_DAYS).map((days, at) =>
        playHealthy(at % 3 === 2 ? 'willow-dipper' : 'sable-plover', at + 1, days),
      ),
    );
    keep('4-days.txt', healthyText(own));
    expect(own.falseShoreLosses).toBe(0);
    expect(own.emergencies).toBe(0);
    expect(own.leaving).toBeLessThanOrEqual((SIZES.days * 52) / 365);
    expect(own.letters).toBeLessThanOrEqual(SIZES.days / 7);
    expect(own.positions.sureAndWrong).toBe(0);
  });
});
