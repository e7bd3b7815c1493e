/** Quarters of an hour to a survey: plain arithmetic of what was known for how long. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { BoatSurvey, readBoat, roughPiece } from '../../../rules/index.ts';

const QUARTER_MS = 900_000;
const path = new URL('../../fixtures/boats/small.yaml', import.meta.url).pathname;
const { boat } = readBoat(readFileSync(path, 'utf8'), 'small.yaml');

/** The heater's survey of an hour whose second quarter was known for so long, at 10 A and 118 V. */
function heaterOver(coveredMs: number) {
  if (boat === null) throw new Error('the small test boat is not usable');
  const bucket = (value: number) => ({
    atMs: QUARTER_MS,
    count: 10,
    min: value,
    max: value,
    coveredMs,
    integral: (value * coveredMs) / 1000,
  });
  const piece = roughPiece(boat, 0, 4 * QUARTER_MS, [
    { pointId: 'heater-amps', buckets: [bucket(10)] },
    { pointId: 'panel-volts', buckets: [bucket(118)] },
  ]);
  const { parts } = new BoatSurvey(boat, 0, 4 * QUARTER_MS).surveyedFrom([piece]);
  return parts.find(({ id }) => id === 'heater')?.power;
}

describe('a quarter of an hour', () => {
  it.each([
    ['that is half known', 450_000],
    ['that is known', 900_000],
    ['that came one and a half times, the clock being set back', 1_350_000],
    ['that came three times', 2_700_000],
  ])('%s counts for as long as it was known', (_, coveredMs) => {
    const power = heaterOver(coveredMs);
    expect(power?.total).toBeCloseTo((1180 * coveredMs) / 3_600_000, 6);
    expect(power?.knownMs).toBeCloseTo(coveredMs, 6);
    expect(power?.coverage).toBeCloseTo(coveredMs / 3_600_000, 9);
  });
});
