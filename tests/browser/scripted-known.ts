/** Numbers with their evidence, for the scripted panel. */
import type { Known } from '../../daemon/api/contract.ts';

export const measured = (value: number, ageMs = 400): Known => ({
  value,
  evidence: 'measured',
  ageMs,
});
export const inferred = (value: number, ageMs = 700): Known => ({
  value,
  evidence: 'inferred',
  ageMs,
});
export const unknown = (): Known => ({ value: null, evidence: 'unknown', ageMs: null });
/** Not fresh any more: `lastValue` was measured `ageMs` ago. */
export const stale = (lastValue: number, ageMs: number): Known => ({
  value: null,
  evidence: 'unknown',
  ageMs,
  lastValue,
});

/** `amps` held against a rating, with the evidence of the amperes. */
export const share = (amps: Known, ampsRated: number): Known =>
  amps.value === null ? unknown() : { ...amps, value: amps.value / ampsRated };
