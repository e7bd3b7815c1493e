import { describe, expect, test } from 'vitest';
import { HARSH_SENSORS, PERFECT_SENSORS } from '../../simulator/sensors/sensor-faults.ts';
import type { SensorFaults } from '../../simulator/sensors/sensor-faults.ts';
import { createSimulation } from '../../simulator/simulation.ts';
import type { Messages, Simulation } from '../../simulator/simulation.ts';
import { assertDelta } from '../daemon/intake/marine-schemas.ts';
import { legCalled, part, settingFor } from './demo-boats.ts';
import { numberAt, stampOf } from './payload.ts';

function start(name: string, seed: number, faults?: SensorFaults): Simulation {
  return createSimulation({ ...settingFor(name, seed), ...(faults ? { faults } : {}) });
}

/** Everything that is said in so many seconds, asked for in steps of so many milliseconds. */
function listen(simulation: Simulation, seconds: number, stepMs: number): Messages {
  const all: Messages = { mqtt: [], deltas: [] };
  for (let atMs = stepMs; atMs <= seconds * 1000; atMs += stepMs) {
    simulation.step(atMs);
    const { mqtt, deltas } = simulation.messagesDue();
    all.mqtt.push(...mqtt);
    all.deltas.push(...deltas);
  }
  return all;
}

describe('the same again', () => {
  test('the same seed gives the same messages and the same truth', () => {
    const [one, two] = [start('one-leg-lost', 4), start('one-leg-lost', 4)];
    expect(listen(one, 600, 1000)).toEqual(listen(two, 600, 1000));
    expect(one.truth()).toEqual(two.truth());
  });

  test('another seed gives another day', () => {
    const said = (seed: number): string =>
      JSON.stringify(listen(start('quiet-day', seed), 20, 1000));
    expect(said(1)).not.toBe(said(2));
  });

  test('it does not matter how the steps are cut', () => {
    const whole = listen(start('air-conditioner-without-pump', 2), 600, 600_000);
    const cut = listen(start('air-conditioner-without-pump', 2), 600, 250);
    expect(cut).toEqual(whole);
  });

  test('one faulty publisher does not change what the others say', () => {
    const others = ({ mqtt }: Messages): unknown[] =>
      mqtt.filter(({ topic }) => topic !== 'panel/house').map(({ payload }) => payload);
    const silent = listen(start('sensor-silent', 3), 400, 1000);
    const setting = settingFor('sensor-silent', 3);
    const scenario = { ...setting.scenario, script: [] };
    const well = listen(createSimulation({ ...setting, scenario }), 400, 1000);
    expect(others(silent)).toEqual(others(well));
    expect(silent.mqtt.length).toBeLessThan(well.mqtt.length);
  });
});

test('time never runs past what was asked for, and messages are due before it', () => {
  const simulation = start('quiet-day', 1);
  expect(simulation.nowMs).toBe(0);
  simulation.step(2500);
  expect(simulation.nowMs).toBeLessThanOrEqual(2500);
  const { mqtt } = simulation.messagesDue();
  expect(mqtt.length).toBeGreaterThan(8);
  for (const { atMs } of mqtt) {
    expect(atMs).toBeGreaterThanOrEqual(0);
    expect(atMs).toBeLessThan(simulation.nowMs);
  }
  expect(simulation.messagesDue()).toEqual({ mqtt: [], deltas: [] });
});

test('perfect sensors say exactly what is true at that moment', () => {
  const simulation = start('overload-at-breakfast', 1, PERFECT_SENSORS);
  listen(simulation, 300, 1000);
  const truth = simulation.truth();
  simulation.step(301_000);
  const { payload = '' } =
    simulation.messagesDue().mqtt.find(({ topic }) => topic === 'panel/small') ?? {};
  const small = part(truth.sources, 'small-generator');
  expect(numberAt(payload, '/l1/a')).toBeCloseTo(legCalled(small.legs, 'L1').amps, 5);
  expect(numberAt(payload, '/l1/v')).toBeCloseTo(legCalled(small.legs, 'L1').volts, 5);
  expect(numberAt(payload, '/hz')).toBeCloseTo(small.hertz, 5);
});

test('what is published stays within the physics: half a percent of volts, three of amperes', () => {
  const simulation = start('quiet-day', 5);
  let compared = 0;
  for (let second = 1; second <= 1800; second += 1) {
    const { sources } = simulation.truth();
    const isSteady = simulation.nowMs % 1000 === 0;
    simulation.step(second * 1000);
    const { mqtt } = simulation.messagesDue();
    const bow = mqtt.findLast(({ topic }) => topic === 'panel/bow');
    if (bow === undefined || !isSteady || bow.atMs < (second - 1) * 1000) continue;
    const { volts, amps } = legCalled(part(sources, 'bow-inlet').legs, 'L2');
    const isStarting = amps > 30;
    if (isStarting) continue;
    expect(Math.abs(numberAt(bow.payload, '/l2/v') - volts)).toBeLessThan(0.005 * volts + 0.6);
    expect(Math.abs(numberAt(bow.payload, '/l2/a') - amps)).toBeLessThan(0.03 * amps + 0.35);
    compared += 1;
  }
  expect(compared).toBeGreaterThan(1500);
});

describe('open marine data', () => {
  test.each(['quiet-day', 'quiet-day-canal'])('every delta of %s keeps to the schema', (name) => {
    const { deltas } = listen(start(name, 1, HARSH_SENSORS), 120, 1000);
    expect(deltas.length).toBeGreaterThan(50);
    for (const delta of deltas) assertDelta(JSON.parse(delta));
  });

  test('a source that dies says null, and keeps to the schema', () => {
    const setting = settingFor('quiet-day', 1);
    const action = { do: 'sensor', publisher: 'shunt.house', fault: 'dies' } as const;
    const scenario = { ...setting.scenario, script: [{ atMs: 5000, action }] };
    const { deltas } = listen(createSimulation({ ...setting, scenario }), 10, 1000);
    const silent = deltas.filter((delta) => delta.includes('"value":null'));
    expect(silent.length).toBeGreaterThan(0);
    for (const delta of silent) assertDelta(JSON.parse(delta));
  });

  test('timestamps are wall time from the given start, and follow it when it is set anew', () => {
    const epochMs = Date.UTC(2026, 10, 25, 6);
    const simulation = createSimulation({ ...settingFor('quiet-day', 1), epochMs });
    const stamps = (): number[] => simulation.messagesDue().deltas.map(stampOf);
    simulation.step(10_000);
    for (const stamp of stamps()) {
      expect(stamp).toBeGreaterThanOrEqual(epochMs);
      expect(stamp).toBeLessThan(epochMs + 10_000);
    }
    simulation.setEpoch(epochMs + 3_600_000);
    simulation.step(20_000);
    for (const stamp of stamps()) expect(stamp).toBeGreaterThan(epochMs + 3_600_000);
  });

  test('every path has a description and the SI unit of what it measures', () => {
    const { marineMeta } = start('quiet-day', 1);
    expect(marineMeta).toContainEqual({
      path: 'electrical.batteries.house.voltage',
      description: 'House bank, voltage',
      units: 'V',
    });
    expect(marineMeta).toHaveLength(4);
  });
});

test('a boat that the ship does not fit is refused at once', () => {
  const setting = settingFor('quiet-day', 1);
  const ship = { ...setting.ship, loads: {} };
  expect(() => createSimulation({ ...setting, ship })).toThrow(/no physics for circuit/);
});
