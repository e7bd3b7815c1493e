/** What the rules of generators, inverter and batteries say, beyond whether they say anything. */
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import type { Alert } from '../../../rules/index.ts';
import { batteryOutlook, hoursWords } from '../../../rules/catalogue/battery-words.ts';
import { duration } from '../../../rules/catalogue/rule.ts';
import { readSeries, stepAt } from '../../../rules/rehearsal/series.ts';
import {
  Anchorage,
  AT_ANCHOR,
  AT_THE_DOCK,
  DAY_MS,
  HOUR_MS,
  MINUTE_MS,
  NEARLY_FULL,
} from '../panel/anchorage.ts';

const onLarge = (amps: number) => ({
  ...AT_THE_DOCK,
  'inlet-amps': 0,
  'large-volts': 121,
  'large-hertz': 60.4,
  'large-amps': amps,
  'supply-position': 'LARGE',
});

describe('a generator that runs underloaded', () => {
  test('at 11 % for 50 minutes names the small set with the load it would have, and loads to add', () => {
    // 1.55 kW of 14 kW are 11 %, and 39 % of 4 kW.
    const load = { ...onLarge(12.8), 'charger-2-amps': 0 };
    const played = new Anchorage().play(50 * MINUTE_MS, load, 10_000);
    const alert = played.alert('generator-underloaded.large');
    expect(alert?.title).toBe('Large generator has carried only 11 % of its rating for 50 min');
    expect(alert?.doThis).toContain('Small generator carries this load at 39 % of its rating');
    expect(alert?.doThis).toContain('Charger 2 (8.0 A) and Water heater (12.5 A)');
    expect(alert?.priority).toBe('caution');
    // (1549 + 20.5 x 120) / 14 000.
    expect(alert?.doThis).toContain('about 29 %');
  });

  test('names no smaller set that the peak of the same time would overload', () => {
    const played = new Anchorage();
    // 32 A are 3.9 kW: light for 14 kW, too much for 80 % of 4 kW.
    played.play(
      50 * MINUTE_MS,
      (at) => onLarge(at % (20 * MINUTE_MS) < MINUTE_MS ? 32 : 12.8),
      10_000,
    );
    const alert = played.alert('generator-underloaded.large');
    expect(alert?.doThis).not.toContain('Small generator');
  });

  test('an idle one is the idle generator, not an underloaded one', () => {
    const played = new Anchorage();
    played.play(
      60 * MINUTE_MS,
      { ...onLarge(0), 'inlet-amps': 10, 'supply-position': 'SHORE' },
      10_000,
    );
    expect(played.alert('idle-generator.large')).toBeDefined();
    expect(played.alert('generator-underloaded.large')).toBeUndefined();
  });
});

describe('a generator stopped hot', () => {
  const run = (played: Anchorage) =>
    played
      .play(2 * MINUTE_MS, { ...onLarge(0), 'inlet-amps': 10, 'supply-position': 'SHORE' }, 10_000)
      .play(10 * MINUTE_MS, onLarge(70), 10_000)
      .play(MINUTE_MS, { ...AT_THE_DOCK }, 10_000);

  test('gives the lesson once, and counts after that', () => {
    const played = run(new Anchorage().play(MINUTE_MS, AT_THE_DOCK, 10_000));
    const first = played.alert('generator-stopped-hot.large');
    expect(first?.title).toBe('Large generator stopped 10 s after it carried 61 % load');
    expect(first?.means).toContain('turbocharger');
    played.play(HOUR_MS, AT_THE_DOCK);
    expect(played.alert('generator-stopped-hot.large')).toBeUndefined();
    const second = run(played).alert('generator-stopped-hot.large');
    expect(second?.means).toContain('so far: 2.');
    expect(second?.means).not.toContain('turbocharger');
  });
});

describe('a charger that is off', () => {
  test('is tied to the change-over that came just before', () => {
    const working = {
      'house-volts': 13.9,
      'house-amps': 60,
      'charger-1-amps': 8,
      'charger-2-amps': 8,
    };
    const played = new Anchorage()
      .play(5 * MINUTE_MS, { ...onLarge(40), ...working }, 10_000)
      .play(MINUTE_MS, { ...AT_THE_DOCK, ...working }, 10_000)
      .play(20 * MINUTE_MS, { ...AT_THE_DOCK, ...working, 'charger-2-amps': 0 }, 10_000);
    const alert = played.alert('charger-off.charger-2');
    expect(alert?.title).toMatch(/^Charger 2 has power but has not drawn anything for \d+ min$/);
    expect(alert?.means).toContain('Main bus was changed from Large generator to Inlet');
    expect(alert?.doThis).toContain('breaker 2');
    // Between ten and twenty minutes after it fell silent.
    const delay = (alert?.raisedAtMs ?? 0) - (alert?.sinceMs ?? 0);
    expect(delay).toBeGreaterThanOrEqual(10 * MINUTE_MS);
    expect(delay).toBeLessThanOrEqual(20 * MINUTE_MS);
  });

  test('without a change-over near it none is blamed', () => {
    const idle = { ...AT_THE_DOCK, 'charger-1-amps': 0, 'charger-2-amps': 0, 'house-volts': 12.6 };
    const played = new Anchorage().play(HOUR_MS, AT_THE_DOCK).play(20 * MINUTE_MS, idle, 10_000);
    expect(played.alert('charger-off.charger-2')?.means).not.toContain('changed');
  });
});

describe('a bank that is running down', () => {
  test('is told four hours ahead, with the hours, before it is low', () => {
    const played = new Anchorage().play(HOUR_MS, NEARLY_FULL);
    let told: Alert | undefined;
    for (let i = 0; i < 120 && told === undefined; i++) {
      played.play(10 * MINUTE_MS, { ...AT_ANCHOR, 'house-amps': -18, 'house-volts': 12.4 });
      told = played.alert('battery-low.house');
    }
    expect(told?.priority).toBe('warning');
    expect(told?.title).toMatch(/^House bank lasts about 3 to [5-7] hours more$/);
    // Truth: half of 400 Ah at 18 A.
    const sinceFullMs = played.nowMs - (played.battery().lastFullMs ?? NaN);
    const hours = 200 / 18 - sinceFullMs / HOUR_MS;
    expect(hours).toBeGreaterThan(3);
    expect(hours).toBeLessThan(6);
  });

  test('on the inverter with the heater on names the heater and the hours within a minute', () => {
    const played = new Anchorage().play(HOUR_MS, NEARLY_FULL);
    const lost = {
      ...AT_ANCHOR,
      'supply-position': 'SHORE',
      'inverter-volts': 120,
      'galley-position': 'INVERTER',
      'heater-amps': 12.5,
      'house-amps': -130,
      'house-volts': 12.3,
    };
    played.play(MINUTE_MS, lost, 10_000);
    const alert = played.alert('inverter-heavy-load.inverter');
    expect(alert?.title).toBe('Inverter is feeding Water heater from House bank');
    expect(alert?.doThis).toContain('breaker 4');
    played.play(2 * MINUTE_MS, lost, 10_000);
    expect(played.alert('inverter-heavy-load.inverter')?.means).toMatch(/reaches half in about/);
  });
});

describe('a bank that has not been full', () => {
  const half = { ...AT_THE_DOCK, 'house-volts': 13.1, 'house-amps': 10 };

  test('is told after a fortnight of watching, and over with the next full charge', () => {
    const played = new Anchorage().play(14 * DAY_MS, half, 10 * MINUTE_MS);
    expect(played.alert('not-full.house')).toBeUndefined();
    played.play(HOUR_MS, half, 10 * MINUTE_MS);
    expect(played.alert('not-full.house')?.priority).toBe('caution');
    expect(played.alert('not-full.house')?.title).toContain('14 d');
    played.play(20 * MINUTE_MS, NEARLY_FULL);
    expect(played.alert('not-full.house')).toBeUndefined();
    // Lithium does not mind.
    expect(played.alert('not-full.thruster')).toBeUndefined();
  }, 30_000);

  test('days in which its sensors were silent do not count', () => {
    const { 'house-amps': _, ...blind } = half;
    const played = new Anchorage().play(10 * DAY_MS, half, 10 * MINUTE_MS);
    played.play(10 * DAY_MS, blind, 10 * MINUTE_MS);
    expect(played.alert('not-full.house')).toBeUndefined();
  }, 30_000);
});

describe('a quiet drain', () => {
  /** A fridge at night, people by day; `base` never stops. */
  const use = (base: number) => (sinceMs: number) => {
    const hour = (sinceMs / HOUR_MS) % 24;
    const amps = base + (hour % 1 < 0.3 ? 5 : 0) + (hour > 8 && hour < 22 ? 6 : 0);
    return { ...AT_ANCHOR, 'house-amps': -amps, 'house-volts': 12.5 };
  };
  const days = (played: Anchorage, count: number, base: number) => {
    for (let day = 0; day < count; day++) played.play(DAY_MS, use(base), 10 * MINUTE_MS);
    return played;
  };

  test('is told after two days well above the usual, not after one', () => {
    const played = days(new Anchorage(), 8, 1.9);
    expect(played.alert('quiet-drain.house')).toBeUndefined();
    days(played, 2, 3.4);
    expect(played.alert('quiet-drain.house')).toBeUndefined();
    days(played, 1, 3.4);
    const alert = played.alert('quiet-drain.house');
    expect(alert?.priority).toBe('caution');
    expect(alert?.title).toMatch(/^Quiet drain of House bank is \d\.\d A; usual is \d\.\d A$/);
    days(played, 2, 1.9);
    expect(played.alert('quiet-drain.house')).toBeUndefined();
  }, 60_000);

  test('what flows under way is no drain, is not learnt from, and hides what was told', () => {
    const played = days(new Anchorage(), 8, 1.9);
    played.watch.setMode('under way', null, 'the crew', played.nowMs);
    days(played, 4, 6);
    expect(played.alert('quiet-drain.house')).toBeUndefined();
    played.watch.setMode('aboard', null, 'the crew', played.nowMs);
    days(played, 3, 3.4);
    expect(played.alert('quiet-drain.house')?.title).toMatch(/usual is 2\.0 A$/);
    played.watch.setMode('under way', null, 'the crew', played.nowMs);
    played.play(2 * MINUTE_MS, use(6), MINUTE_MS);
    expect(played.alert('quiet-drain.house')).toBeUndefined();
  }, 60_000);

  test('a fifth more is no quiet drain', () => {
    const played = days(days(new Anchorage(), 8, 1.9), 5, 2.3);
    expect(played.alert('quiet-drain.house')).toBeUndefined();
  }, 60_000);
});

describe('words', () => {
  test.each([
    [{ low: 9.4, high: 11.6 }, 'about 9 to 12 hours'],
    [{ low: 0.7, high: 1.1 }, 'about 40 to 70 minutes'],
    [{ low: 80, high: 110 }, 'about 3 to 5 days'],
    [{ low: 100, high: 240 }, 'at least 4 to 5 days'],
    [{ low: 240, high: 240 }, 'more than 10 days'],
  ])('%o is %s', (hours, words) => {
    expect(hoursWords(hours)).toBe(words);
  });

  test.each([
    [-5, '0 s'],
    [99_400, '99 s'],
    [59 * MINUTE_MS, '59 min'],
    [3 * HOUR_MS, '3 h'],
    [3 * HOUR_MS + 10 * MINUTE_MS, '3 h 10 min'],
    [50 * HOUR_MS, '2 days'],
    [14 * DAY_MS, '14 days'],
  ])('%i ms are %s', (ms, words) => {
    expect(duration(ms)).toBe(words);
  });

  test('the outlook tells the time of day where somebody knows the zone', () => {
    const played = new Anchorage().play(HOUR_MS, NEARLY_FULL).play(HOUR_MS, AT_ANCHOR);
    const state = played.battery();
    expect(batteryOutlook(state)).toMatch(
      /^At the present pattern House bank reaches half in about \d+ to \d+ hours\.$/,
    );
    const words = (atMs: number): string => new Date(atMs).toISOString().slice(11, 16);
    expect(batteryOutlook(state, { nowMs: played.nowMs, words })).toMatch(
      /reaches half at about \d\d:\d\d to \d\d:\d\d\.$/,
    );
    expect(batteryOutlook({ ...state, hoursLeft: null })).toBe('');
  });

  const folder = new URL('../../rehearsals/anchorage/', import.meta.url);
  const ours =
    /^(battery-|charger-off|generator-|inverter-|overcharge|sources-fighting|not-full|quiet-drain)/;

  test.each(readdirSync(folder))('everything told in %s is whole sentences', (name) => {
    const { readings, expect: expected } = parse(readFileSync(new URL(name, folder), 'utf8'));
    const series = Object.entries<string>(readings).map(([id, text]) => {
      const read = readSeries(text);
      if ('problem' in read) throw new Error(read.problem);
      return [id, read] as const;
    });
    const lastAt = Math.min(4000, Math.max(...expected.map((own: { at: number }) => own.at)));
    const played = new Anchorage();
    const told = new Map<string, Alert>();
    for (let i = 0; i * 10 <= lastAt; i++) {
      const now = series.map(([id, own]) => [id, stepAt(own, i)] as const);
      const heard = now.filter((own): own is readonly [string, string | number] => own[1] !== null);
      played.play(1, Object.fromEntries(heard), 10_000);
      for (const alert of played.watch.openAlerts()) told.set(alert.id, alert);
    }
    for (const alert of told.values()) {
      if (!ours.test(alert.rule)) continue;
      expect(alert.title.length).toBeLessThanOrEqual(160);
      expect(alert.title).toMatch(/^[A-Z]/);
      for (const text of [alert.means, alert.doThis, ...alert.cautions]) {
        expect(text).toMatch(/^[A-Z].*[.]$/);
        expect(text).not.toMatch(/!|NaN|undefined|null|\bis safe|\bis dead|  /);
      }
      expect(alert.evidence.length).toBeGreaterThan(0);
      expect(alert.points.length).toBeGreaterThan(0);
    }
  });
});
