/** The demonstration boats as the simulator's tests use them. */
import { readFileSync } from 'node:fs';
import { readBoat } from '../../rules/index.ts';
import type { Boat } from '../../rules/index.ts';
import type { VesselAction } from '../../simulator/action.ts';
import { Vessel } from '../../simulator/physics/vessel.ts';
import { scenarioNamed } from '../../simulator/scenarios/index.ts';
import type { Scenario } from '../../simulator/scenarios/scenario.ts';
import { shipOf } from '../../simulator/ships/index.ts';
import type { Ship } from '../../simulator/ships/ship.ts';
import type { SimulationSetting } from '../../simulator/simulation.ts';
import { truthOf } from '../../simulator/truth.ts';
import type { LegTruth, Truth } from '../../simulator/truth.ts';

export const BOAT_FILES = ['sable-plover', 'willow-dipper'] as const;

export function boatFile(name: (typeof BOAT_FILES)[number]): string {
  return new URL(`../../simulator/boats/${name}.yaml`, import.meta.url).pathname;
}

export function loadBoat(name: (typeof BOAT_FILES)[number]): Boat {
  const { boat, problems } = readBoat(readFileSync(boatFile(name), 'utf8'), name);
  if (boat === null) throw new Error(JSON.stringify(problems));
  return boat;
}

export function shipFor(boat: Boat): Ship {
  const ship = shipOf(boat.name);
  if (ship === undefined) throw new Error(`no ship for ${boat.name}`);
  return ship;
}

export const sablePlover = loadBoat('sable-plover');
export const willowDipper = loadBoat('willow-dipper');

/** What `createSimulation` wants for a scenario by name. */
export function settingFor(name: string, seed: number): SimulationSetting {
  const scenario = scenarioCalled(name);
  const boat = scenario.boatName === willowDipper.name ? willowDipper : sablePlover;
  return { boat, ship: shipFor(boat), scenario, seed };
}

export function scenarioCalled(name: string): Scenario {
  const scenario = scenarioNamed(name);
  if (scenario === undefined) throw new Error(`no scenario ${name}`);
  return scenario;
}

/** A vessel alone, without crew, script or sensors. */
export class Bench {
  readonly vessel: Vessel;
  #seconds = 0;

  constructor(boat: Boat, hour: number, change: (ship: Ship) => Ship = (ship) => ship) {
    this.vessel = new Vessel(boat, change(shipFor(boat)), { hour, seed: 1 });
  }

  do(action: VesselAction): this {
    this.vessel.apply(action);
    return this;
  }

  /** Lets time pass in steps of a second, or tenths where the vessel is hasty. */
  pass(seconds: number, each: () => void = () => {}): this {
    const end = this.#seconds + seconds;
    while (this.#seconds < end - 1e-6) {
      const step = this.vessel.isHasty ? 0.1 : Math.min(1, end - this.#seconds);
      this.vessel.advance(step);
      this.#seconds += step;
      each();
    }
    return this;
  }

  get truth(): Truth {
    return truthOf(this.vessel, this.#seconds * 1000);
  }
}

/** Looks a part up in one of the truth's maps; throws where there is none. */
export function part<T>(parts: ReadonlyMap<string, T>, id: string): T {
  const found = parts.get(id);
  if (found === undefined) throw new Error(`no ${id}`);
  return found;
}

export function legCalled(legs: readonly LegTruth[], name: string): LegTruth {
  const leg = legs.find((one) => one.leg === name);
  if (leg === undefined) throw new Error(`no leg ${name}`);
  return leg;
}
