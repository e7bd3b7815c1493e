/** The two-leg test boat of the shore rules, with what a quiet dock reads on it. */
import { readFileSync } from 'node:fs';
import { readBoat } from '../../../rules/index.ts';
import type { Boat, LimitName } from '../../../rules/index.ts';

const TEXT = readFileSync(
  new URL('../../fixtures/boats/split-phase.yaml', import.meta.url),
  'utf8',
);

/** The boat, with limits of its own where a test needs them. */
export function splitPhaseBoat(limits: Partial<Record<LimitName, number>> = {}): Boat {
  const { boat } = readBoat(TEXT, 'split-phase.yaml');
  if (!boat) throw new Error('the two-leg test boat is not usable');
  return { ...boat, limits: { ...boat.limits, ...limits } };
}

/**
 * Series of a quiet dock on the bow inlet: the heater draws on one leg and the charger carries the
 * bank on the other. Volts creep by a hair, since a live supply never stands still.
 */
export const QUIET: Readonly<Record<string, string>> = {
  'bow-1': '120+0.0001x20000',
  'bow-2': '120.2+0.0001x20000',
  'bow-across': '240.2+0.0001x20000',
  'bow-amps-1': '12x*',
  'bow-amps-2': '6x*',
  'bow-hertz': '60+0.000001x20000',
  'stern-1': '0x*',
  'stern-2': '0x*',
  'generator-1': '0x*',
  'generator-2': '0x*',
  'generator-amps-1': '0x*',
  'generator-amps-2': '0x*',
  'panel-1': '119.5+0.0001x20000',
  'panel-2': '119.6+0.0001x20000',
  'air-amps': '0x*',
  'heater-amps': '12x*',
  'charger-amps': '6x*',
  'bank-volts': '13.5x*',
  'bank-amps': '0.2x*',
};
