/** The survey of a whole boat: where its watts come from, and what has none. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { BoatSurvey, readBoat } from '../../../rules/index.ts';
import type { Boat } from '../../../rules/index.ts';

const file = new URL('../../fixtures/boats/small.yaml', import.meta.url);
const text = readFileSync(file, 'utf8');
const START = Date.UTC(2026, 6, 1);
const HOUR = 3_600_000;

function boatOf(yaml: string): Boat {
  const { boat } = readBoat(yaml, 'small.yaml');
  if (!boat) throw new Error('the small test boat is not usable');
  return boat;
}

const small = boatOf(text);

/** An hour of steady readings each second. */
function surveyed(boat: Boat, values: Record<string, number | null>) {
  const survey = new BoatSurvey(boat, START, START + HOUR);
  for (let atMs = START; atMs < START + HOUR; atMs += 1000) {
    for (const [pointId, value] of Object.entries(values)) survey.take(pointId, atMs, value);
  }
  const all = survey.surveyed();
  return {
    part: (id: string) => all.parts.find((own) => own.id === id),
    point: (id: string) => all.points.find((own) => own.id === id)?.values,
  };
}

describe('watts', () => {
  it('are amperes times the volts of the bus; the heater of 10 A at 118 V uses 1.18 kWh', () => {
    const { part } = surveyed(small, { 'heater-amps': 10, 'panel-volts': 118 });
    expect(part('heater')?.basis).toBe('amps and volts');
    expect(part('heater')?.power.total).toBeCloseTo(1180, -1);
  });

  it('are not known while those volts are not', () => {
    const { part, point } = surveyed(small, { 'heater-amps': 10 });
    expect(part('heater')?.power).toMatchObject({ total: null, coverage: 0 });
    expect(point('heater-amps')?.total).toBeCloseTo(10, 1);
  });

  it('are amperes times nominal volts where nothing measures volts', () => {
    const boat = boatOf(text.replace(/^ {2}panel-volts: .*\n/m, ''));
    const { part } = surveyed(boat, { 'heater-amps': 10 });
    expect(part('heater')?.basis).toBe('amps and nominal volts');
    expect(part('heater')?.power.total).toBeCloseTo(1200, -1);
  });

  it("are the meter's where there is one", () => {
    const meter = '  pump-watts: { of: pump, leg: L, quantity: watts, mqtt: { topic: t/w } }\n';
    const boat = boatOf(text.replace(/^points:\n/m, `points:\n${meter}`));
    const { part } = surveyed(boat, { 'pump-amps': 3, 'panel-volts': 118, 'pump-watts': 250 });
    expect(part('pump')?.basis).toBe('measured watts');
    expect(part('pump')?.power.total).toBeCloseTo(250, 0);
  });

  it('are multiplied by the power factor where that is measured', () => {
    const factor = '  pump-pf: { of: pump, leg: L, quantity: powerFactor, mqtt: { topic: t/f } }\n';
    const boat = boatOf(text.replace(/^points:\n/m, `points:\n${factor}`));
    const { part } = surveyed(boat, { 'pump-amps': 3, 'panel-volts': 120, 'pump-pf': 0.6 });
    expect(part('pump')?.power.total).toBeCloseTo(216, 0);
  });

  it('are nobody else’s: what nothing measures is not in the survey', () => {
    const { part } = surveyed(small, {});
    expect(part('charger')).toBeUndefined();
    expect(part('bank')).toBeUndefined();
  });
});

it("counts a generator's hours by its volts, loaded or not", () => {
  const { point } = surveyed(small, { 'generator-volts': 121, 'generator-amps': 0 });
  expect((point('generator-volts')?.runs?.runMs ?? 0) / HOUR).toBeCloseTo(1, 3);
  expect(point('generator-amps')?.runs?.runMs).toBe(0);
});

it('passes over words, unknown points and what lies outside the span', () => {
  const survey = new BoatSurvey(small, START, START + HOUR);
  survey.take('heater-amps', START - 1, 5);
  survey.take('heater-amps', START + HOUR, 5);
  survey.take('heater-amps', START + 1, 'closed');
  survey.take('nothing-aboard', START + 1, 5);
  const heater = survey.surveyed().points.find(({ id }) => id === 'heater-amps');
  expect(heater?.values.readings).toBe(0);
});

it('refuses a span without a length', () => {
  expect(() => new BoatSurvey(small, START, START)).toThrow(RangeError);
});
