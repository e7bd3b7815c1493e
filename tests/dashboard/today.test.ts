import { expect, it } from 'vitest';
import type { SurveyAnswer } from '../../daemon/api/contract.ts';
import { energyOf } from '../../dashboard/models/today.ts';

type Part = SurveyAnswer['parts'][number];

function surveyOf(basis: Part['basis'], total: number | null, coverage: number): SurveyAnswer {
  const power: Part['power'] = {
    coverage,
    knownMs: 0,
    readings: 0,
    total,
    mean: null,
    least: null,
    most: null,
    peakDemand: null,
    runs: null,
    loadDuration: [],
  };
  const parts: Part[] = [{ id: 'a', label: 'A', part: 'circuit', basis, power }];
  return { boat: 'B', fromMs: 0, toMs: 1, roughMs: 0, durationShares: [], parts, points: [] };
}

const ac = { id: 'a', system: 'ac' } as const;
const plain = (text: string | undefined): string | undefined => text?.replaceAll('\u00a0', ' ');

it.each([
  ['measured watts', 640, 1, '640 Wh'],
  ['measured watts', 1000, 1, '1.00 kWh'],
  ['measured watts', 640, 0.9, '640 Wh in the 90 % of the day seen'],
  ['measured watts', 640, 0.95, '640 Wh'],
  ['amps and volts', 640, 1, 'up to 640 Wh'],
  ['amps and nominal volts', 0, 1, '0 Wh'],
] as const)('%s, %d Wh, %d seen: %s', (basis, total, coverage, text) => {
  expect(plain(energyOf(surveyOf(basis, total, coverage), ac)?.text)).toBe(text);
});

it('is real energy on DC, and nothing where nothing was read', () => {
  const dc = { id: 'a', system: 'dc' } as const;
  expect(plain(energyOf(surveyOf('amps and volts', 640, 1), dc)?.text)).toBe('640 Wh');
  expect(energyOf(surveyOf('measured watts', null, 0), ac)).toBeNull();
  expect(energyOf(surveyOf('measured watts', 1, 1), { ...ac, id: 'b' })).toBeNull();
  expect(energyOf(null, ac)).toBeNull();
});
