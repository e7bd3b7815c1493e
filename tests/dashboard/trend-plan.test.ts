import { describe, expect, test } from 'vitest';
import type { HistoryAnswer, PointDescription } from '../../daemon/api/contract.ts';
import { drawingsOf } from '../../dashboard/models/drawing.ts';
import {
  cutBefore,
  follows,
  instantsOf,
  isDue,
  isWorthDrawing,
  plotsFor,
  ungrown,
  systemsOf,
  withTail,
} from '../../dashboard/models/trend-plan.ts';
import { EVENING_MS, SCRIPTED_POINTS, scriptedPanel } from '../browser/scripted-panel.ts';
import { POINT_DESCRIPTIONS } from '../browser/scripted-history.ts';

const panel = scriptedPanel(EVENING_MS);
const answer = (
  pointId: string,
  buckets: HistoryAnswer['series'][number]['buckets'],
): HistoryAnswer => ({
  fromMs: EVENING_MS - 60_000,
  toMs: EVENING_MS - 5_000,
  bucketMs: 1000,
  series: [{ pointId, unit: 'A', buckets }],
});
const last = EVENING_MS - 6_000;

describe('spans', () => {
  test('that end now move with the boat’s time, the others stand still', () => {
    expect(instantsOf('15min', 1_000_000)).toEqual({ fromMs: 100_000, toMs: 1_000_000 });
    expect(instantsOf({ fromMs: 1, toMs: 2 }, 1_000_000)).toEqual({ fromMs: 1, toMs: 2 });
    const today = { fromMs: 1, toMs: 9 };
    expect([follows('7d', 5), follows(today, 9), follows(today, 0)]).toEqual([true, false, false]);
    expect(follows(today, 5)).toBe(true);
  });

  test('are asked again when a thirtieth of them has passed', () => {
    expect(isDue('15min', null, 0)).toBe(true);
    expect(isDue('15min', 0, 29_999)).toBe(false);
    expect(isDue('15min', 0, 30_000)).toBe(true);
    expect(isDue({ fromMs: 0, toMs: 9 }, 9, 1e12)).toBe(false);
  });

  test('are asked again until they are over, and once more then', () => {
    const today = { fromMs: 0, toMs: 300_000 };
    expect([14_999, 15_000].map((nowMs) => isDue(today, 5_000, nowMs))).toEqual([false, true]);
    expect([299_999, 300_000].map((nowMs) => isDue(today, 299_000, nowMs))).toEqual([false, true]);
  });
});

describe('the live tail', () => {
  test('adds a fresh reading once, at the time it was taken', () => {
    const asked = ungrown(answer('bow-l1-amps', [[last, 40, 41, 40.5, 2, 1]]), EVENING_MS);
    const grown = withTail(asked, panel);
    const [, added] = grown.answer.series[0]?.buckets ?? [];
    expect(added).toEqual([EVENING_MS - 1000, 42.7, 42.7, 42.7, 1, 1]);
    expect(grown.answer.toMs).toBe(EVENING_MS);
    const again = withTail(grown, panel);
    expect(again.answer.series).toEqual(grown.answer.series);
  });

  test.each(['small-l1-volts', 'saloon-outlets-amps', 'solar-amps'])(
    'does not grow from %s, which is not fresh',
    (pointId) => {
      expect(SCRIPTED_POINTS.find(({ id }) => id === pointId)?.freshness).not.toBe('fresh');
      const asked = ungrown(answer(pointId, []), EVENING_MS);
      expect(withTail(asked, panel).answer.series[0]?.buckets).toEqual([]);
    },
  );

  test('of a demo that runs twenty times as fast has no gaps between two looks', () => {
    const point = POINT_DESCRIPTIONS.find(({ id }) => id === 'bow-l1-amps');
    if (point === undefined) throw new Error('There is no such point.');
    let grown = ungrown(answer(point.id, [[EVENING_MS - 6_000, 40, 41, 40.5, 2, 1]]), EVENING_MS);
    for (const seconds of [35, 75, 115]) {
      grown = withTail(grown, { ...panel, atMs: EVENING_MS + seconds * 1000 });
    }
    const span = { fromMs: EVENING_MS - 6_000, toMs: EVENING_MS + 115_000 };
    const [drawing] = drawingsOf(plotsFor([point], systemsOf(panel)), grown, span, [point.id]);
    expect(drawing?.points[0]?.trace.mean.map(({ y }) => y)).toEqual([40.5, 42.7, 42.7, 42.7]);
    // The same holes in the store's own answer are gaps.
    const asked = ungrown({ ...grown.answer, toMs: span.toMs }, span.toMs);
    const [stored] = drawingsOf(plotsFor([point], systemsOf(panel)), asked, span, [point.id]);
    expect(stored?.points[0]?.trace.gaps).toHaveLength(3);
  });

  test('is drawn anew when it has grown by half a pixel, of an hour and of a year', () => {
    const HOUR_MS = 3_600_000;
    const grownBy = (spanMs: number, ms: number): boolean => {
      const fromMs = EVENING_MS - spanMs;
      const now = { fromMs, toMs: EVENING_MS };
      const asked = ungrown({ ...answer('bow-l1-amps', []), ...now }, EVENING_MS);
      return isWorthDrawing(asked, withTail(asked, { ...panel, atMs: EVENING_MS + ms }));
    };
    expect([1_000, 2_000].map((ms) => grownBy(HOUR_MS, ms))).toEqual([false, true]);
    const yearMs = 365 * 24 * HOUR_MS;
    expect([HOUR_MS, 5 * HOUR_MS].map((ms) => grownBy(yearMs, ms))).toEqual([false, true]);
  });

  test('lets go of what has left the span', () => {
    const cut = cutBefore(
      answer('a', [
        [last - 10_000, 1, 1, 1, 1, 1],
        [last, 2, 2, 2, 1, 1],
      ]),
      last - 5_000,
    );
    expect(cut.series[0]?.buckets).toEqual([[last, 2, 2, 2, 1, 1]]);
    expect(cut.fromMs).toBe(last - 5_000);
  });
});

describe('plots', () => {
  const byId = (id: string): PointDescription => {
    const found = POINT_DESCRIPTIONS.find((point) => point.id === id);
    if (found === undefined) throw new Error(`There is no point ${id}.`);
    return found;
  };

  test('hold one unit each, and AC volts apart from DC volts', () => {
    const points = [
      'bow-l1-volts',
      'bow-l1-amps',
      'house-bank-volts',
      'bow-l2-amps',
      'house-bank-charge',
    ];
    const plots = plotsFor(points.map(byId), systemsOf(panel));
    expect(
      plots.map(({ unit, decimals, points: own }) => [unit, decimals, own.map(({ id }) => id)]),
    ).toEqual([
      ['V', 0, ['bow-l1-volts']],
      ['A', 1, ['bow-l1-amps', 'bow-l2-amps']],
      ['V', 2, ['house-bank-volts']],
      ['%', 0, ['house-bank-charge']],
    ]);
  });

  test('draw a point that the answer lacks as one long gap, and keep each point’s own style', () => {
    const plots = plotsFor([byId('bow-l1-amps'), byId('bow-l2-amps')], systemsOf(panel));
    const span = { fromMs: EVENING_MS - 60_000, toMs: EVENING_MS };
    const order = ['bow-l2-amps', 'bow-l1-amps'];
    const [drawing] = drawingsOf(
      plots,
      ungrown(answer('bow-l2-amps', [[last, 1, 1, 1, 1, 1]]), EVENING_MS),
      span,
      order,
    );
    expect(drawing?.points.map(({ id, style, trace }) => [id, style, trace.mean.length])).toEqual([
      ['bow-l1-amps', 1, 0],
      ['bow-l2-amps', 0, 1],
    ]);
    expect(drawing?.points[0]?.trace.gaps).toEqual([span]);
  });
});
