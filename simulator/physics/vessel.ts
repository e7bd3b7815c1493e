/**
 * The whole boat as physics: everything moves on by one step, then volts and amperes everywhere are
 * solved anew. What is read between two steps is the state at the earlier one.
 */
import type { Boat, PartId } from '../../rules/index.ts';
import type { VesselAction } from '../action.ts';
import { createRandom } from '../random.ts';
import type { Ship } from '../ships/ship.ts';
import { AcNetwork, wattsByLeg } from './ac-network.ts';
import type { Flow } from './ac-network.ts';
import type { AtTerminals } from './ac-source.ts';
import { magnitude, wattsOf } from './complex.ts';
import { DcNetwork } from './dc-network.ts';
import type { AtBattery } from './dc-network.ts';
import { BatteryBank } from './battery.ts';
import { Guards } from './guards.ts';
import { BatteryCharger } from './loads/battery-charger.ts';
import type { Load, Surroundings } from './loads/load.ts';
import { buildLoads, buildSources } from './outfit.ts';
import type { Sources } from './outfit.ts';
import { Switches } from './switches.ts';
import { Weather } from './weather.ts';

export interface VesselStart {
  /** Hour of day, 0..24. */
  hour: number;
  seed: number;
}

export class Vessel {
  readonly boat: Boat;
  readonly ship: Ship;
  readonly switches: Switches;
  readonly ac: AcNetwork;
  readonly dc: DcNetwork;
  readonly banks = new Map<PartId, BatteryBank>();
  readonly sources: Sources;
  readonly loads: ReadonlyMap<PartId, Load>;
  readonly weather: Weather;
  /** Energy since the start: out of each source, into each circuit. */
  readonly joules = new Map<PartId, number>();
  readonly #startHour: number;
  readonly #guards: Guards;
  readonly #batteries: AtBattery[] = [];
  #seconds = 0;

  constructor(boat: Boat, ship: Ship, start: VesselStart) {
    this.boat = boat;
    this.ship = ship;
    this.#startHour = start.hour;
    this.switches = new Switches(boat, ship.positions);
    this.weather = new Weather(ship.weather, createRandom(start.seed, 'weather'));
    this.sources = buildSources(boat, ship, start.seed);
    this.loads = buildLoads(boat, ship, start.seed);
    this.#buildBatteries();
    this.ac = new AcNetwork(boat, this.sources.ac, this.loads, this.switches, ship.contactOhms);
    this.dc = new DcNetwork(boat, this.#batteries, this.loads, this.switches);
    this.#guards = new Guards(boat, this.switches);
    for (const id of ship.running) this.apply({ do: 'start', source: id });
    this.advance(0);
  }

  /** Hour of day, 0..24. */
  get hour(): number {
    return (((this.#startHour + this.#seconds / 3600) % 24) + 24) % 24;
  }

  /** Something is over within a second: steps should be tenths. */
  get isHasty(): boolean {
    if (this.switches.isTurning) return true;
    for (const generator of this.sources.generators.values()) {
      if (generator.isChanging) return true;
    }
    for (const load of this.loads.values()) if (load.isStarting) return true;
    return false;
  }

  /** Lets time pass. */
  advance(seconds: number): void {
    this.#count(seconds);
    this.#guards.advance(this.ac, this.dc, seconds);
    this.#seconds += seconds;
    this.switches.advance(seconds);
    this.weather.advance(this.hour, seconds);
    this.#advanceSources(seconds);
    this.#advanceLoads(seconds);
    this.#advanceBatteries(seconds);
    this.ac.solve();
    this.dc.solve();
  }

  apply(action: VesselAction): void {
    switch (action.do) {
      case 'turn selector':
        return this.switches.turn(action.selector, action.to);
      case 'move switch':
        return this.switches.move(action.part, action.to);
      case 'start':
      case 'stop':
        return this.sources.startable(action.source)[action.do]();
      case 'crank in vain':
        return this.sources.generator(action.source).crankInVain(action.seconds);
      case 'pedestal': {
        const leg = action.leg === undefined ? undefined : this.sources.legIndex(action.leg);
        return this.sources.pedestal(action.inlet).switchPower(action.power === 'on', leg);
      }
      case 'loosen neutral':
        this.sources.pedestal(action.inlet).looseNeutralOhms = action.ohms;
        return;
      case 'wear pin': {
        const leg = this.sources.legIndex(action.leg);
        this.sources.pedestal(action.inlet).wornPinOhms[leg] = action.ohms;
        return;
      }
      case 'change dock':
        return this.sources.pedestal(action.inlet).change(action.dock);
      case 'load': {
        const load = this.loads.get(action.circuit);
        if (load === undefined) throw new Error(`no such circuit: ${action.circuit}`);
        load.take(action.command);
      }
    }
  }

  /** As `apply`, for what was done long ago: a selector stands already where it was turned to. */
  place(action: VesselAction): void {
    if (action.do === 'turn selector') this.switches.place(action.selector, action.to);
    else this.apply(action);
  }

  #buildBatteries(): void {
    const { boat, ship } = this;
    for (const part of boat.batteries) {
      const parameters = ship.batteries[part.id];
      if (parameters === undefined) throw new Error(`no physics for battery ${part.id}`);
      const bank = new BatteryBank(part, parameters);
      this.banks.set(part.id, bank);
      const chargers = boat.circuits.flatMap((circuit) => {
        const load = circuit.charges === part.id ? this.loads.get(circuit.id) : undefined;
        return load instanceof BatteryCharger ? [load] : [];
      });
      const solar = [...this.sources.solar].flatMap(([id, array]) =>
        batteryOf(boat, id) === part.id ? [{ id, array }] : [],
      );
      const inverters = [...this.sources.inverters].flatMap(([id, inverter]) =>
        batteryOf(boat, id) === part.id ? [inverter] : [],
      );
      const starters = [...this.sources.generators].flatMap(([id, generator]) =>
        startBatteryOf(boat, id) === part.id ? [generator] : [],
      );
      const drawing = [...inverters, ...starters];
      this.#batteries.push({ part, bank, chargers, solar, inverters: drawing });
    }
  }

  #advanceSources(seconds: number): void {
    for (const [id, inverter] of this.sources.inverters) {
      const bank = this.banks.get(batteryOf(this.boat, id) ?? '');
      if (bank !== undefined) inverter.feelsBattery(bank.volts);
    }
    for (const [id, source] of this.sources.ac) source.advance(seconds, this.#atTerminals(id));
  }

  #atTerminals(id: PartId): AtTerminals {
    const flow = this.ac.atSource.get(id);
    if (flow === undefined) return { hour: this.hour, watts: 0, volts: [0, 0], amps: [0, 0] };
    const [first, second] = wattsByLeg(flow);
    return {
      hour: this.hour,
      watts: first + second,
      volts: [magnitude(flow.volts[0]), magnitude(flow.volts[1])],
      amps: [magnitude(flow.amps[0]), magnitude(flow.amps[1])],
    };
  }

  #advanceLoads(seconds: number): void {
    let hasCoolingWater = false;
    let isCoolingWanted = false;
    let coolingFlowRatio = 0;
    for (const load of this.loads.values()) {
      hasCoolingWater ||= load.givesCooling;
      if (load.givesCooling) coolingFlowRatio = Math.max(coolingFlowRatio, load.flowRatio);
      isCoolingWanted ||= load.wantsCooling;
    }
    const { hour, celsius, sun } = this.weather;
    const around: Surroundings = {
      volts: 0,
      hour,
      celsius,
      sun,
      hasCoolingWater,
      coolingFlowRatio,
      isCoolingWanted,
    };
    for (const [id, load] of this.loads) {
      const ac = this.ac.atCircuit.get(id);
      around.volts =
        ac === undefined ? (this.dc.atCircuit.get(id)?.volts ?? 0) : magnitude(ac.volts);
      load.advance(seconds, around);
    }
  }

  #advanceBatteries(seconds: number): void {
    for (const { bank, chargers, solar } of this.#batteries) {
      bank.advance(bank.volts, bank.amps, seconds);
      for (const charger of chargers) charger.charging.advance(bank, charger.isPowered, seconds);
      for (const { array } of solar) array.advance(bank, this.weather.sun, seconds);
    }
  }

  #count(seconds: number): void {
    if (seconds === 0) return;
    const put = (id: PartId, watts: number): void => {
      this.joules.set(id, (this.joules.get(id) ?? 0) + watts * seconds);
    };
    for (const [id, flow] of this.ac.atSource) put(id, wattsOfFlow(flow));
    for (const [id, flow] of this.ac.atCircuit) put(id, wattsOf(flow.volts, flow.amps));
    for (const [id, flow] of this.dc.atCircuit) put(id, flow.volts * flow.amps);
    for (const [id, flow] of this.dc.atSolar) put(id, flow.volts * flow.amps);
  }
}

function wattsOfFlow(flow: Flow): number {
  const [first, second] = wattsByLeg(flow);
  return first + second;
}

/** Battery that a solar array or inverter is joined to. */
function startBatteryOf(boat: Boat, source: PartId): PartId | null {
  const part = boat.parts.get(source);
  return part?.part === 'source' && part.kind === 'generator' ? (part.startBattery ?? null) : null;
}

function batteryOf(boat: Boat, source: PartId): PartId | null {
  const part = boat.parts.get(source);
  return part?.part === 'source' && 'battery' in part ? part.battery : null;
}
