/** Where a sensor is clamped on: from a point of the boat file to what is true there just now. */
import type { LegName, Point } from '../../rules/index.ts';
import type { CircuitFlow, Flow } from '../physics/ac-network.ts';
import { wattsByLeg } from '../physics/ac-network.ts';
import { magnitude, subtract, wattsOf } from '../physics/complex.ts';
import type { DcFlow } from '../physics/dc-network.ts';
import type { LegIndex } from '../physics/three-wire.ts';
import type { Vessel } from '../physics/vessel.ts';

/** A number in the base unit of the point's quantity, a position, or null between two positions. */
export type Probe = () => number | string | null;

/** Cabin where the battery stands: no boat of ours measures it closer. */
const BATTERY_SPACE_CELSIUS = 25;

/** Throws where the boat has no such place: boat files are checked. */
export function probeAt(vessel: Vessel, point: Point): Probe {
  const { of, quantity } = point;
  const { switches, banks, sources } = vessel;
  if (quantity === 'position') return () => switches.positionOf(of);
  if (quantity === 'switch') return () => switches.contactOf(of);
  if (quantity === 'hertz') return () => sources.ac.get(of)?.hertz ?? 0;
  if (quantity === 'celsius') return () => BATTERY_SPACE_CELSIUS;
  const bank = banks.get(of);
  if (quantity === 'stateOfCharge') return () => bank?.countedCharge ?? null;
  if (bank !== undefined) return fromDirect(() => bank, quantity);
  const { ac, dc } = vessel;
  const circuit = ac.atCircuit.get(of);
  if (circuit !== undefined) return fromCircuit(circuit, quantity);
  const flow = ac.atSource.get(of) ?? ac.atBus.get(of) ?? ac.atSwitch.get(of);
  if (flow !== undefined && isAcross(vessel, point)) {
    return () => magnitude(subtract(flow.volts[0], flow.volts[1]));
  }
  if (flow !== undefined) return fromFlow(flow, legIndex(vessel, point.leg), quantity);
  const direct = [dc.atBus, dc.atSwitch, dc.atCircuit, dc.atSolar].find((at) => at.has(of));
  if (direct === undefined) throw new Error(`nothing to measure at ${of}`);
  return fromDirect(() => direct.get(of), quantity);
}

/** A voltmeter between the two hot wires: its leg is both names, joined. */
function isAcross(vessel: Vessel, { leg, quantity }: Point): boolean {
  return quantity === 'volts' && leg !== undefined && leg === vessel.boat.ac?.legs.join('-');
}

function legIndex(vessel: Vessel, leg: LegName | undefined): LegIndex | null {
  return leg === undefined ? null : vessel.sources.legIndex(leg);
}

function fromFlow(flow: Flow, leg: LegIndex | null, quantity: Point['quantity']): Probe {
  const volts = (): number => magnitude(flow.volts[leg ?? 0]);
  const amps = (): number => magnitude(flow.amps[leg ?? 0]);
  const watts = (): number => {
    const [first, second] = wattsByLeg(flow);
    if (leg === null) return first + second;
    return leg === 0 ? first : second;
  };
  return chosen(quantity, volts, amps, watts);
}

function fromCircuit(circuit: CircuitFlow, quantity: Point['quantity']): Probe {
  const volts = (): number => magnitude(circuit.volts);
  const amps = (): number => magnitude(circuit.amps);
  return chosen(quantity, volts, amps, () => wattsOf(circuit.volts, circuit.amps));
}

function fromDirect(flow: () => DcFlow | undefined, quantity: Point['quantity']): Probe {
  const volts = (): number => flow()?.volts ?? 0;
  const amps = (): number => flow()?.amps ?? 0;
  return chosen(quantity, volts, amps, () => volts() * amps());
}

function chosen(
  quantity: Point['quantity'],
  volts: () => number,
  amps: () => number,
  watts: () => number,
): Probe {
  if (quantity === 'volts') return volts;
  if (quantity === 'amps') return amps;
  if (quantity === 'watts') return watts;
  return () => {
    const apparent = volts() * amps();
    return apparent > 0 ? Math.min(1, Math.abs(watts()) / apparent) : 1;
  };
}
