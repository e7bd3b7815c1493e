/**
 * What is really so on the boat at one instant, whatever the sensors say: for tests that compare
 * it with what panelward believes. Volts are RMS leg to neutral, amperes RMS, signs as in `signs.ts`.
 */
import type { Boat, LegName, PartId } from '../rules/index.ts';
import { wattsByLeg } from './physics/ac-network.ts';
import type { Flow } from './physics/ac-network.ts';
import { ZERO, add, magnitude, varsOf, wattsOf } from './physics/complex.ts';
import type { LegIndex } from './physics/three-wire.ts';
import type { Contact } from './physics/switches.ts';
import type { Vessel } from './physics/vessel.ts';

export interface LegTruth {
  leg: LegName;
  volts: number;
  amps: number;
  watts: number;
  /** Reactive volt-amperes, positive lagging. */
  vars: number;
}

export interface SourceTruth {
  legs: LegTruth[];
  watts: number;
  /** Zero for a source of direct current. */
  hertz: number;
  neutralAmps: number;
  /** Buses joined to it by closed switches, whether it is live or not. */
  feeds: PartId[];
  /** Energy out of it since the start. */
  joules: number;
}

export interface BusTruth {
  legs: LegTruth[];
  watts: number;
  neutralAmps: number;
  /** Source or battery that it is joined to, live or not; null: none. */
  fedBy: PartId | null;
}

export interface CircuitTruth {
  breaker: Contact;
  /** Volts across the load. */
  volts: number;
  amps: number;
  watts: number;
  joules: number;
}

export interface BatteryTruth {
  volts: number;
  /** Positive charging. */
  amps: number;
  /** 0..1 */
  stateOfCharge: number;
}

export interface Truth {
  atMs: number;
  /** Hour of day on the boat, 0..24. */
  hour: number;
  sources: ReadonlyMap<PartId, SourceTruth>;
  /** Position name; null while it is being turned. */
  selectors: ReadonlyMap<PartId, string | null>;
  mainSwitches: ReadonlyMap<PartId, Contact>;
  buses: ReadonlyMap<PartId, BusTruth>;
  circuits: ReadonlyMap<PartId, CircuitTruth>;
  batteries: ReadonlyMap<PartId, BatteryTruth>;
}

const DIRECT: LegName = 'DC';

/** Takes the truth down; the result does not change afterwards. */
export function truthOf(vessel: Vessel, atMs: number): Truth {
  const { boat, switches } = vessel;
  return {
    atMs,
    hour: vessel.hour,
    sources: new Map(boat.sources.map(({ id }) => [id, sourceTruth(vessel, id)])),
    selectors: new Map(boat.selectors.map(({ id }) => [id, switches.positionOf(id)])),
    mainSwitches: new Map(boat.mainSwitches.map(({ id }) => [id, switches.contactOf(id)])),
    buses: new Map(boat.buses.map(({ id }) => [id, busTruth(vessel, id)])),
    circuits: new Map(boat.circuits.map(({ id }) => [id, circuitTruth(vessel, id)])),
    batteries: new Map(
      [...vessel.banks].map(([id, { volts, amps, stateOfCharge }]) => [
        id,
        { volts, amps, stateOfCharge },
      ]),
    ),
  };
}

/** The legs of an AC flow that a part has, in the boat's order. */
export function legsOf(boat: Boat, flow: Flow, names: readonly LegName[]): LegTruth[] {
  return names.map((leg) => {
    const at: LegIndex = boat.ac?.legs.indexOf(leg) === 1 ? 1 : 0;
    const [volts, amps] = [flow.volts[at], flow.amps[at]];
    return {
      leg,
      volts: magnitude(volts),
      amps: magnitude(amps),
      watts: wattsOf(volts, amps),
      vars: varsOf(volts, amps),
    };
  });
}

function directLeg(volts: number, amps: number): LegTruth {
  return { leg: DIRECT, volts, amps, watts: volts * amps, vars: 0 };
}

function sourceTruth(vessel: Vessel, id: PartId): SourceTruth {
  const joules = vessel.joules.get(id) ?? 0;
  const flow = vessel.ac.atSource.get(id);
  const part = vessel.boat.sources.find((source) => source.id === id);
  if (flow === undefined || part === undefined) {
    const { volts = 0, amps = 0 } = vessel.dc.atSolar.get(id) ?? {};
    const legs = [directLeg(volts, amps)];
    return { legs, watts: volts * amps, hertz: 0, neutralAmps: 0, feeds: [], joules };
  }
  return {
    legs: legsOf(vessel.boat, flow, part.legs),
    watts: sum(wattsByLeg(flow)),
    hertz: vessel.sources.ac.get(id)?.hertz ?? 0,
    neutralAmps: magnitude(add(flow.amps[0], flow.amps[1])),
    feeds: vessel.ac.busesFedBy(id),
    joules,
  };
}

function busTruth(vessel: Vessel, id: PartId): BusTruth {
  const fedBy = vessel.switches.wayTo(id).top;
  const flow = vessel.ac.atBus.get(id);
  const part = vessel.boat.buses.find((bus) => bus.id === id);
  if (flow === undefined || part === undefined) {
    const { volts = 0, amps = 0 } = vessel.dc.atBus.get(id) ?? {};
    return { legs: [directLeg(volts, amps)], watts: volts * amps, neutralAmps: 0, fedBy };
  }
  const neutralAmps = magnitude(add(flow.amps[0], flow.amps[1]));
  const legs = legsOf(vessel.boat, flow, part.legs);
  return { legs, watts: sum(wattsByLeg(flow)), neutralAmps, fedBy };
}

function circuitTruth(vessel: Vessel, id: PartId): CircuitTruth {
  const breaker = vessel.switches.contactOf(id);
  const joules = vessel.joules.get(id) ?? 0;
  const direct = vessel.dc.atCircuit.get(id);
  if (direct !== undefined) {
    return { breaker, ...direct, watts: direct.volts * direct.amps, joules };
  }
  const { volts = ZERO, amps = ZERO } = vessel.ac.atCircuit.get(id) ?? {};
  const watts = wattsOf(volts, amps);
  return { breaker, volts: magnitude(volts), amps: magnitude(amps), watts, joules };
}

const sum = (values: readonly number[]): number => values.reduce((total, one) => total + one, 0);
