import { expect, test } from 'vitest';
import { DASH } from '../../dashboard/format.ts';
import { freshCount, pointText, troubleFirst } from '../../dashboard/models/sensors.ts';
import { SCRIPTED_POINTS } from '../browser/scripted-panel.ts';

test('points in trouble stand first, each group in the order of the boat file', () => {
  const order = troubleFirst(SCRIPTED_POINTS).map(({ id }) => id);
  expect(order.slice(0, 5)).toEqual([
    'saloon-outlets-amps',
    'small-l1-volts',
    'house-l2-amps',
    'solar-amps',
    'bow-l1-volts',
  ]);
  expect(freshCount(SCRIPTED_POINTS)).toBe(6);
});

test('a value that never was is a dash, a position its word, a ratio per cent', () => {
  const [first] = SCRIPTED_POINTS;
  if (first === undefined) throw new Error('There is no scripted point.');
  expect(pointText({ ...first, value: null }, 'ac')).toBe(DASH);
  expect(pointText({ ...first, quantity: 'position', value: 'SHORE' }, 'ac')).toBe('SHORE');
  expect(pointText({ ...first, quantity: 'stateOfCharge', value: 0.914 }, 'dc')).toBe('91\u00a0%');
  expect(pointText({ ...first, value: 13.384 }, 'dc')).toBe('13.38\u00a0V');
});
