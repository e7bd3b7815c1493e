/** What truly happens in each scenario, as its own text says. What panelward makes of it is asserted elsewhere. */
import { readdirSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { SCENARIOS, scenarioNamed, scenariosFor } from '../../simulator/scenarios/index.ts';
import { after } from '../../simulator/scenarios/scenario.ts';
import { SHIPS } from '../../simulator/ships/index.ts';
import { clockMs } from '../../simulator/ships/day-plan.ts';
import { createSimulation } from '../../simulator/simulation.ts';
import type { Simulation } from '../../simulator/simulation.ts';
import type { Truth } from '../../simulator/truth.ts';
import { legCalled, part, scenarioCalled, settingFor } from './demo-boats.ts';

const folder = new URL('../../simulator/scenarios/', import.meta.url);
const NOT_SCENARIOS = new Set(['index.ts', 'scenario.ts']);

describe('the list', () => {
  test('every file is reachable by its own name, and nothing else is', () => {
    const files = readdirSync(folder).filter((file) => !NOT_SCENARIOS.has(file));
    const names = SCENARIOS.map(({ name }) => `${name}.ts`);
    expect(names.toSorted()).toEqual(files.toSorted());
  });

  test.each(SCENARIOS)('$name tells what happens and keeps to its time', (scenario) => {
    expect(scenario.tells).toMatch(/^[A-Z].{60,}\.$/);
    expect(scenarioNamed(scenario.name)).toBe(scenario);
    expect(() => clockMs(scenario.startsAt)).not.toThrow();
    for (const { atMs } of scenario.script) {
      // Two minutes of calm before the first event, five after the last.
      expect(atMs).toBeGreaterThanOrEqual(2 * 60_000);
      expect(atMs).toBeLessThanOrEqual((scenario.minutes - 5) * 60_000);
    }
  });

  test('every ship has scenarios, and every scenario a ship', () => {
    for (const { boatName } of SHIPS) {
      expect(scenariosFor(boatName).length).toBeGreaterThan(2);
    }
    const names = new Set(SHIPS.map(({ boatName }) => boatName));
    const strays = SCENARIOS.filter(({ boatName }) => boatName && !names.has(boatName));
    expect(strays).toEqual([]);
  });

  test('a time that is none is a mistake of the scenario', () => {
    expect(() => after('4', { do: 'start', source: 'x' })).toThrow(/minutes and seconds/);
    expect(() => clockMs('25:00')).toThrow(/time of day/);
  });
});

const SEEDS = [1, 2, 3];

/** Plays a scenario and looks at the truth after each given number of minutes. */
function watch(name: string, seed: number): (minutes: number) => Truth {
  const simulation: Simulation = createSimulation(settingFor(name, seed));
  return (minutes) => {
    simulation.step(minutes * 60_000);
    simulation.messagesDue();
    return simulation.truth();
  };
}

const volts = (truth: Truth, bus: string, leg: string): number =>
  legCalled(part(truth.buses, bus).legs, leg).volts;
const amps = (truth: Truth, circuit: string): number => part(truth.circuits, circuit).amps;

describe.each(SEEDS)('with seed %i', (seed) => {
  test('shore-lost-at-night: all legs dead for forty minutes, no switch moved', () => {
    const at = watch('shore-lost-at-night', seed);
    const before = at(3.9);
    expect(volts(before, 'house-bus', 'L1')).toBeGreaterThan(114);
    const dark = at(20);
    for (const bus of ['house-bus', 'climate-bus']) {
      expect(volts(dark, bus, 'L1')).toBe(0);
      expect(part(dark.buses, bus).fedBy).toBe('bow-inlet');
    }
    expect(part(dark.batteries, 'house-bank').amps).toBeLessThan(-1);
    expect(dark.selectors).toEqual(before.selectors);
    expect(volts(at(43.9), 'house-bus', 'L2')).toBe(0);
    const back = at(50);
    expect(volts(back, 'house-bus', 'L2')).toBeGreaterThan(114);
    expect(part(back.batteries, 'house-bank').amps).toBeGreaterThan(1);
  });

  test('air-conditioner-without-pump: a hot compressor without water until the pump is on', () => {
    const at = watch('air-conditioner-without-pump', seed);
    expect(amps(at(2.9), 'guest-air')).toBe(0);
    let compressor = 0;
    let water = 0;
    for (let minutes = 3; minutes < 13; minutes += 0.05) {
      const truth = at(minutes);
      if (amps(truth, 'guest-air') > 4) compressor += 0.05;
      if (amps(truth, 'raw-water-pump') > 0) water += 0.05;
    }
    expect(water).toBe(0);
    // Two or three tries of half a minute to a minute.
    expect(compressor).toBeGreaterThan(1);
    expect(compressor).toBeLessThan(4);
    for (const minutes of [18, 19, 20, 21, 22]) {
      const truth = at(minutes);
      expect(amps(truth, 'raw-water-pump')).toBeGreaterThan(2.5);
      expect(amps(truth, 'guest-air')).toBeGreaterThan(7);
    }
  });

  test('generator-with-nothing-connected: live for twelve minutes, feeding nothing', () => {
    const at = watch('generator-with-nothing-connected', seed);
    expect(part(at(2.9).sources, 'large-generator').hertz).toBe(0);
    for (const minutes of [4, 9, 14.9]) {
      const generator = part(at(minutes).sources, 'large-generator');
      expect(generator.hertz).toBeCloseTo(60.8, 0);
      expect(legCalled(generator.legs, 'L1')).toMatchObject({ amps: 0 });
      expect(generator.feeds).toEqual([]);
    }
    const after15 = at(16);
    expect(part(after15.sources, 'large-generator').hertz).toBe(0);
    expect(part(after15.sources, 'bow-inlet').feeds).toEqual(['climate-bus', 'house-bus']);
  });

  test('overload-at-breakfast: one leg of 20.8 A carries 24 to 26 A for four minutes', () => {
    const at = watch('overload-at-breakfast', seed);
    const leg = (minutes: number): number =>
      legCalled(part(at(minutes).sources, 'small-generator').legs, 'L1').amps;
    expect(leg(2.9)).toBeLessThan(0.8 * 20.83);
    expect(leg(3.9)).toBeLessThan(20.5);
    for (const minutes of [4.2, 5, 6, 7]) {
      // Whatever the clamp's 3 % make of it, it is above the rating and below 125 % of it.
      expect(leg(minutes)).toBeGreaterThan(1.04 * 20.83);
      expect(leg(minutes)).toBeLessThan((1.25 / 1.03) * 20.83);
    }
    const generator = part(at(7.4).sources, 'small-generator');
    expect(generator.watts).toBeLessThan(0.9 * 5000);
    expect(leg(9)).toBeLessThan(0.95 * 20.83);
    const end = at(18);
    expect([...end.circuits.values()].every(({ breaker }) => breaker !== 'tripped')).toBe(true);
    expect(part(end.buses, 'house-bus').fedBy).toBe('small-generator');
  });

  test('sensor-silent: ten minutes without a word, while the house bus goes on', () => {
    const simulation = createSimulation(settingFor('sensor-silent', seed));
    const said = (untilMinutes: number): number => {
      simulation.step(untilMinutes * 60_000);
      const { mqtt } = simulation.messagesDue();
      return mqtt.filter(({ topic }) => topic === 'panel/house').length;
    };
    expect(said(4)).toBeGreaterThan(220);
    expect(said(13.99)).toBe(0);
    expect(volts(simulation.truth(), 'house-bus', 'L1')).toBeGreaterThan(110);
    expect(said(16)).toBeGreaterThan(100);
  });

  test('one-leg-lost: L1 dead for ten minutes, L2 alive all the time', () => {
    const at = watch('one-leg-lost', seed);
    expect(volts(at(4.9), 'house-bus', 'L1')).toBeGreaterThan(110);
    for (const minutes of [5.2, 8, 11, 14.9]) {
      const truth = at(minutes);
      for (const bus of ['house-bus', 'climate-bus']) {
        expect(volts(truth, bus, 'L1')).toBeLessThan(2);
        expect(volts(truth, bus, 'L2')).toBeGreaterThan(110);
      }
      // The air conditioner that still runs has its pump.
      expect(amps(truth, 'owner-air') > 4 && amps(truth, 'raw-water-pump') < 2).toBe(false);
    }
    expect(volts(at(20), 'house-bus', 'L1')).toBeGreaterThan(110);
  });

  test('shore-lost-canal: both buses dead for a quarter of an hour', () => {
    const at = watch('shore-lost-canal', seed);
    expect(volts(at(3.9), 'galley-bus', 'L')).toBeGreaterThan(215);
    const dark = at(10);
    expect([volts(dark, 'galley-bus', 'L'), volts(dark, 'shore-bus', 'L')]).toEqual([0, 0]);
    expect(volts(at(25), 'shore-bus', 'L')).toBeGreaterThan(215);
  });
});

test('the demo starts at any hour with the switches as the crew left them', () => {
  const setting = settingFor('shore-lost-canal', 1);
  const scenario = scenarioCalled('demo');
  const galleyFedBy = (startsAt: string): string | null => {
    const simulation = createSimulation({ ...setting, scenario, startsAt });
    simulation.step(5000);
    return part(simulation.truth().buses, 'galley-bus').fedBy;
  };
  expect(galleyFedBy('12:00')).toBe('inverter');
  expect(galleyFedBy('21:00')).toBe('shore');
  expect(galleyFedBy('00:10')).toBe('shore');
});
