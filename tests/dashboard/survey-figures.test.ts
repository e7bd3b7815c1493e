import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  coverageOf,
  durationCurve,
  energyRows,
  isEmpty,
  notMeasured,
  scaleFor,
} from '../../dashboard/models/survey-figures.ts';
import { coverageText, energyText } from '../../dashboard/format.ts';
import { scriptedSurvey } from '../browser/scripted-look-back.ts';
import { EVENING_MS, scriptedPanel } from '../browser/scripted-panel.ts';

const survey = scriptedSurvey({ fromMs: EVENING_MS - 86_400_000, toMs: EVENING_MS });

describe('energy', () => {
  test('stands in order of its size, what is not known last and without a bar', () => {
    const rows = energyRows(survey, 'circuit');
    const known = rows.filter(({ wattHours }) => wattHours !== null);
    expect(known).toHaveLength(rows.length - 1);
    expect(rows.at(-1)).toMatchObject({ wattHours: null, share: 0 });
    expect(rows[0]?.share).toBe(1);
    for (const [index, row] of known.entries()) {
      const next = known[index + 1];
      if (next) expect(row.wattHours ?? 0).toBeGreaterThanOrEqual(next.wattHours ?? 0);
    }
  });

  test('given back, as a bank does, counts by its size', () => {
    const parts = survey.parts.map((part) => ({
      ...part,
      power: { ...part.power, total: part.power.total === null ? null : -part.power.total },
    }));
    const rows = energyRows({ ...survey, parts }, 'source');
    expect(rows.map(({ id }) => id)).toEqual(energyRows(survey, 'source').map(({ id }) => id));
    expect(rows[0]?.share).toBe(1);
  });

  test('names the circuits that nothing measures', () => {
    expect(notMeasured(survey, scriptedPanel(EVENING_MS))).toEqual(['Cooling water pump']);
  });

  test('of a time without readings is none', () => {
    expect(isEmpty(survey)).toBe(false);
    expect(isEmpty({ ...survey, parts: [], points: [] })).toBe(true);
    expect(coverageOf({ ...survey, points: [] })).toBeNull();
    expect(coverageOf(survey)?.mean).toBeCloseTo(0.97);
  });

  test.each([
    [1, '100 %'],
    [0.9999, '99 %'],
    [0.004, '<1 %'],
    [0, '0 %'],
  ])('coverage of %d never claims more than there is', (ratio, text) => {
    expect(coverageText(ratio).replaceAll('\u00a0', ' ')).toBe(text);
  });

  test('is a dash where it is not known, never zero', () => {
    expect([energyText(null), energyText(1234).replaceAll('\u00a0', ' ')]).toEqual([
      '—',
      '1.23 kWh',
    ]);
  });
});

describe('the load-duration curve', () => {
  test('leaves out what is not known', () => {
    expect(durationCurve([10, null, 2], [0, 0.5, 1])).toEqual([
      { share: 0, level: 10 },
      { share: 1, level: 2 },
    ]);
  });

  test('has a scale with round marks over every level and zero', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: -1e5, max: 1e5, noNaN: true }), { minLength: 1 }),
        (levels) => {
          const { least, most, marks } = scaleFor(levels);
          expect(least).toBeLessThanOrEqual(Math.min(0, ...levels) + 1e-6 * (most - least));
          expect(most).toBeGreaterThanOrEqual(Math.max(0, ...levels) - 1e-6 * (most - least));
          expect(marks.length).toBeGreaterThan(1);
          expect(marks.length).toBeLessThan(15);
        },
      ),
    );
    expect(scaleFor([0, 42]).marks).toEqual([0, 10, 20, 30, 40, 50]);
  });
});
