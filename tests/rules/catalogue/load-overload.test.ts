/** Warmth of breakers and words of the overload, against what the standards promise. */
import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Breaker } from '../../../rules/index.ts';
import { tripPromise } from '../../../rules/index.ts';
import { LIMITS } from '../../../rules/boat/limits.ts';
import {
  follow,
  timeToTrip,
  tripEstimate,
  tripWords,
} from '../../../rules/catalogue/overload-warmth.ts';
import type { WarmthMemory } from '../../../rules/catalogue/overload-warmth.ts';
import { Voyage } from './loads-boat.ts';

const ALARM = LIMITS.tripWarmthRatio.default;

/** Seconds until the alarm's estimate is passed from cold at a steady load; null within `most`. */
function secondsToAlarm(breaker: Breaker, amps: number, most = 8 * 3600): number | null {
  const memory: WarmthMemory = {};
  for (let seconds = 0; seconds <= most; seconds += 1) {
    const warmth = follow(memory, 'it', breaker, amps, seconds === 0 ? 0 : 1000);
    if (warmth && tripEstimate(warmth) > ALARM) return seconds;
  }
  return null;
}

const UL: Breaker = { ampsRated: 30, kind: 'UL 489' };
const IEC: Breaker = { ampsRated: 16, kind: 'IEC C' };

describe('the alarm by warmth', () => {
  it('never comes where the standard says that the breaker must hold', () => {
    // UL 489: holds its rating for ever. IEC 60898-1 table 7: holds 1.13 times it for an hour.
    expect(secondsToAlarm(UL, 30)).toBeNull();
    expect(secondsToAlarm(IEC, 1.13 * 16, 3600)).toBeNull();
  });

  it('comes before the time by which the standard says that it must have tripped', () => {
    // UL 489: 135 % within an hour, 200 % within 120 s (to 30 A); IEC 60898-1: 145 % within an
    // hour, 255 % within 60 s (to 32 A).
    for (const [breaker, ratio] of [
      [UL, 1.35],
      [UL, 2],
      [IEC, 1.45],
      [IEC, 2.55],
    ] as const) {
      const amps = ratio * breaker.ampsRated;
      const promise = tripPromise(breaker, amps);
      if (promise?.verdict !== 'must trip') throw new Error('the standard promises nothing');
      const seconds = secondsToAlarm(breaker, amps);
      expect(seconds).not.toBeNull();
      expect(seconds ?? Infinity).toBeLessThan(promise.withinSeconds);
    }
  });

  it('comes sooner after a load that was heavy already', () => {
    const warm: WarmthMemory = {};
    follow(warm, 'it', UL, 29, 0);
    follow(warm, 'it', UL, 36, 3_600_000);
    const cold: WarmthMemory = {};
    follow(cold, 'it', UL, 36, 0);
    const after = (memory: WarmthMemory) =>
      tripEstimate(follow(memory, 'it', UL, 36, 60_000) ?? { quick: 0, slow: 0 });
    expect(after(warm)).toBeGreaterThan(after(cold) + 0.2);
  });

  it('is the same however often it is looked at, and an unknown current changes nothing', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.record({
            amps: fc.double({ min: 12, max: 60, noNaN: true }),
            ms: fc.integer({ min: 2, max: 600_000 }),
          }),
          { minLength: 1, maxLength: 20 },
        ),
        (steps) => {
          const whole: WarmthMemory = {};
          const split: WarmthMemory = {};
          for (const memory of [whole, split]) follow(memory, 'it', UL, 12, 0);
          for (const { amps, ms } of steps) {
            follow(whole, 'it', UL, amps, ms);
            follow(split, 'it', UL, split['it']?.amps ?? 0, Math.floor(ms / 3));
            follow(split, 'it', UL, amps, ms - Math.floor(ms / 3));
          }
          expect(split['it']?.quick).toBeCloseTo(whole['it']?.quick ?? -1, 9);
          expect(split['it']?.slow).toBeCloseTo(whole['it']?.slow ?? -1, 9);
          follow(whole, 'it', UL, null, 0);
          const before = { ...whole['it'] };
          follow(whole, 'it', UL, null, 3_600_000);
          expect(whole['it']?.quick).toBe(before.quick);
          expect(whole['it']?.slow).toBe(before.slow);
        },
      ),
      { seed: Number(process.env['FC_SEED'] ?? 20_261_125) },
    );
  });

  it('follows no fuse, and forgets a breaker that is cold and idle', () => {
    const memory: WarmthMemory = {};
    expect(follow(memory, 'it', { ampsRated: 15, kind: 'fuse' }, 20, 1000)).toBeNull();
    follow(memory, 'it', UL, 29, 0);
    follow(memory, 'it', UL, 0, 60_000);
    expect(memory).toHaveProperty('it');
    follow(memory, 'it', UL, 0, 36_000_000);
    expect(memory).toEqual({});
  });
});

describe('the time to a likely trip', () => {
  it('is told as a range, in the coarsest unit that says it', () => {
    expect(tripWords({ earliestSeconds: 360, latestSeconds: 900 })).toBe(
      'About 6 to 15 min to a likely trip.',
    );
    expect(tripWords({ earliestSeconds: 22, latestSeconds: 58 })).toBe(
      'About 20 to 60 s to a likely trip.',
    );
    expect(tripWords({ earliestSeconds: 50, latestSeconds: 3600 })).toBe(
      'About 50 s to 60 min to a likely trip.',
    );
    expect(tripWords({ earliestSeconds: 0, latestSeconds: 60 })).toBe(
      'About 0 to 60 s to a likely trip.',
    );
    expect(tripWords({ earliestSeconds: 0, latestSeconds: 0 })).toBe(
      'A trip is likely at any moment.',
    );
    expect(tripWords({ earliestSeconds: 145, latestSeconds: 'never' })).toBe(
      'It may trip in about 2 min, or go on to hold.',
    );
    expect(tripWords({ earliestSeconds: 'never', latestSeconds: 'never' })).toBeNull();
    expect(tripWords(null)).toBeNull();
  });

  it('lies within what UL 489 allows from cold', () => {
    const range = timeToTrip({ quick: 0, slow: 0 }, 27, { ampsRated: 20, kind: 'UL 489' });
    expect(range?.latestSeconds).toBeLessThanOrEqual(3600);
    expect(timeToTrip(null, 27, UL)).toBeNull();
    expect(timeToTrip({ quick: 0, slow: 0 }, null, UL)).toBeNull();
  });
});

describe('the words of an overload', () => {
  it('tells a circuit the time to a trip, and the breaker that it is for', () => {
    const voyage = new Voyage().until(3, () => ({ 'heater-amps': 27 }));
    const alert = voyage.alert('overload.heater');
    expect(alert.title).toBe('Heater is overloaded: 27.0 A of 20.0 A (135 %)');
    expect(alert.means).toMatch(
      /to a likely trip\. That is for its 20 A breaker; a hot one trips earlier\./,
    );
  });

  it('says that it was, where only the warmth of the breaker still holds it', () => {
    const heating = (minute: number) => ({ 'heater-amps': minute < 12 ? 23 : 18 });
    const voyage = new Voyage(1).until(14, heating);
    expect(voyage.alert('overload.heater').title).toBe(
      'Heater was overloaded, and by estimate its breaker is still hot: 18.0 A of 20.0 A (90 %) now',
    );
  });

  const GENERATOR = {
    'inlet-a-volts': 0,
    'inlet-b-volts': 0,
    'generator-a-volts': 120,
    'generator-b-volts': 120,
  };

  it('names the leg where one leg is over and the whole is not', () => {
    const voyage = new Voyage().until(4, () => ({
      ...GENERATOR,
      'generator-a-amps': 34,
      'generator-b-amps': 5,
      'generator-a-watts': 4000,
      'generator-b-watts': 600,
      'heater-amps': 4,
      'laundry-amps': 11,
    }));
    const alert = voyage.alert('overload.generator');
    // 7.5 kVA over two legs of 120 V: 31.25 A each.
    expect(alert.title).toBe('Generator is overloaded: 34.0 A of 31.3 A on leg A (109 %)');
    expect(alert.means).toContain(
      'In total it carries 4.6 kW of 6.0 kW (77 %): only the leg is over.',
    );
    // On 34 A leg A: the heater is on leg B, and the laundry has no order.
    expect(alert.doThis).toBe('Switch off what can wait, the largest load first.');
  });

  it('names the whole where its kilowatts are over and no leg is', () => {
    const voyage = new Voyage().until(4, () => ({
      ...GENERATOR,
      'generator-a-amps': 28,
      'generator-b-amps': 28.5,
      'generator-a-watts': 3250,
      'generator-b-watts': 3250,
      'heater-amps': 12,
    }));
    const alert = voyage.alert('overload.generator');
    expect(alert.title).toBe('Generator is overloaded: 6.5 kW of 6.0 kW (108 %) in total');
    expect(alert.means).toContain('Its fuller leg B carries 28.5 A of 31.3 A.');
    expect(alert.evidence).toContainEqual({
      what: 'In total',
      value: 6.5,
      threshold: 6,
      unit: 'kW',
    });
  });
});
