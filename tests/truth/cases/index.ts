/** Every case, in the order of the list of needs. */
import { AGEING_CASES } from './bank-ageing.ts';
import { BATTERY_CASES } from './batteries.ts';
import { CLAMP_CASES } from './clamps.ts';
import { CRANKING_CASES } from './cranking.ts';
import { FLICKER_CASES } from './flicker.ts';
import { GENERATOR_CASES } from './generators.ts';
import { LOAD_CASES } from './loads.ts';
import { PUMP_CASES } from './pumps.ts';
import { SENSOR_CASES } from './sensors.ts';
import { SHORE_CASES } from './shore.ts';
import { SUPPLY_CASES } from './supply.ts';
import type { TruthCase } from '../truth-case.ts';

export const CASES: readonly TruthCase[] = [
  ...SHORE_CASES,
  ...SENSOR_CASES,
  ...PUMP_CASES,
  ...BATTERY_CASES,
  ...AGEING_CASES,
  ...LOAD_CASES,
  ...SUPPLY_CASES,
  ...GENERATOR_CASES,
  ...CRANKING_CASES,
  ...CLAMP_CASES,
  ...FLICKER_CASES,
].toSorted((a, b) => a.id.localeCompare(b.id, 'en', { numeric: true }));
