/** The survey's table, read as a person reads it. */
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { surveyText } from '../../../daemon/export/survey-text.ts';
import { BoatSurvey, readBoat } from '../../../rules/index.ts';

const file = new URL('../../fixtures/boats/small.yaml', import.meta.url);
const { boat } = readBoat(readFileSync(file, 'utf8'), 'small.yaml');
const START = Date.UTC(2026, 6, 1);
const HOUR = 3_600_000;
const textOf = (atMs: number): string => new Date(atMs).toISOString().slice(0, 16);

function survey(): BoatSurvey {
  if (!boat) throw new Error('the small test boat is not usable');
  return new BoatSurvey(boat, START, START + HOUR);
}

it('says what each part used, how that was measured, and how much of the time was seen', () => {
  const own = survey();
  for (let atMs = START; atMs < START + HOUR; atMs += 1000) {
    const runs = atMs < START + HOUR / 2;
    own.take('inlet-volts', atMs, 120);
    own.take('inlet-amps', atMs, runs ? 10 : 0);
    if (atMs < START + (3 * HOUR) / 4) own.take('pump-amps', atMs, 3);
    own.take('panel-volts', atMs, 119);
  }
  const lines = surveyText(own.surveyed(), '1.2.3', textOf).split('\n');
  expect(lines[0]).toBe('Load survey of Small Test Boat');
  expect(lines[1]).toBe('From 2026-07-01T00:00 to 2026-07-01T01:00, panelward 1.2.3');
  expect(lines.find((line) => line.startsWith('Inlet'))).toMatch(
    /^Inlet +0\.60 kWh\* +600 W +1200 W +2026-07-01T00:00 +1200 W +0\.5 h +0 +50\.0 % +99\.9 %$/,
  );
  expect(lines.find((line) => line.startsWith('Cooling pump'))).toMatch(/ 75\.\d %$/);
  expect(lines.find((line) => line.startsWith('Heater'))).toBeUndefined();
  expect(lines.find((line) => line.startsWith('40 % of the time'))).toMatch(/ 1[12]\d\d W$/);
  expect(lines.find((line) => line.startsWith('60 % of the time'))).toMatch(/ 0 W$/);
  expect(lines.join('\n')).toMatch(/licensed electrician/);
});

it('says so where nothing was measured', () => {
  expect(surveyText(survey().surveyed(), '1.2.3', textOf)).toContain(
    'Nothing was measured in that time.',
  );
});
