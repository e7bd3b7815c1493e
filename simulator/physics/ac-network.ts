/**
 * The boat's alternating current at one instant: every source with the buses that the switches give
 * it, solved from source impedance and loads. Loads are not linear, so each source is solved a few
 * times over until its volts stand still.
 */
import type { Boat, PartId } from '../../rules/index.ts';
import type { AcSource } from './ac-source.ts';
import { ZERO, add, divide, magnitude, multiply, scale, subtract, wattsOf } from './complex.ts';
import { complex } from './complex.ts';
import type { Complex } from './complex.ts';
import type { Load } from './loads/load.ts';
import type { Switches } from './switches.ts';
import type { LegIndex, LoadSide, PerLeg, SourceSide } from './three-wire.ts';
import { LEG_INDICES, solveThreeWire } from './three-wire.ts';

/** Volts (leg to neutral) and amperes of the two legs at some place; L1's source has angle zero. */
export interface Flow {
  volts: PerLeg<Complex>;
  amps: PerLeg<Complex>;
}

export interface CircuitFlow {
  id: PartId;
  load: Load;
  /** One leg, or both where the load stands across them. */
  legs: readonly LegIndex[];
  /** Volts across the load; for a load on one leg, leg to neutral. */
  volts: Complex;
  amps: Complex;
}

interface BusFlow extends Flow {
  id: PartId;
  circuits: CircuitFlow[];
  through: readonly PartId[];
}

const MOST_ROUNDS = 40;
const VOLTS_CLOSE_ENOUGH = 1e-3;
const noFlow = (): Flow => ({ volts: [ZERO, ZERO], amps: [ZERO, ZERO] });

export class AcNetwork {
  /** At each source's own terminals. */
  readonly atSource = new Map<PartId, Flow>();
  /** At selectors and main switches: amperes through them, volts behind them. */
  readonly atSwitch = new Map<PartId, Flow>();
  readonly atBus = new Map<PartId, BusFlow>();
  readonly atCircuit = new Map<PartId, CircuitFlow>();
  readonly #boat: Boat;
  readonly #sources: ReadonlyMap<PartId, AcSource>;
  readonly #switches: Switches;
  readonly #contactOhms: number;
  /** Buses that each source feeds. */
  readonly #fed = new Map<PartId, BusFlow[]>();
  /** From each selector and main switch up to its source. */
  readonly #ways = new Map<PartId, { top: PartId | null; through: readonly PartId[] }>();
  #changesSeen = -1;

  constructor(
    boat: Boat,
    sources: ReadonlyMap<PartId, AcSource>,
    loads: ReadonlyMap<PartId, Load>,
    switches: Switches,
    contactOhms: number,
  ) {
    this.#boat = boat;
    this.#sources = sources;
    this.#switches = switches;
    this.#contactOhms = contactOhms;
    for (const id of sources.keys()) this.atSource.set(id, noFlow());
    for (const part of [...boat.selectors, ...boat.mainSwitches]) {
      if (part.system === 'ac') this.atSwitch.set(part.id, noFlow());
    }
    for (const bus of boat.buses) {
      if (bus.system !== 'ac') continue;
      this.atBus.set(bus.id, { ...noFlow(), id: bus.id, circuits: [], through: [] });
    }
    for (const circuit of boat.circuits) {
      const load = loads.get(circuit.id);
      if (circuit.system !== 'ac' || load === undefined) continue;
      const legs = circuit.legs.map((leg) => this.#legIndex(leg));
      const flow: CircuitFlow = { id: circuit.id, load, legs, volts: ZERO, amps: ZERO };
      this.atCircuit.set(circuit.id, flow);
      this.atBus.get(circuit.bus)?.circuits.push(flow);
    }
  }

  /** Buses that this source's terminals are joined to, live or not. */
  busesFedBy(source: PartId): PartId[] {
    this.#followSwitches();
    return (this.#fed.get(source) ?? []).map((bus) => bus.id);
  }

  /** Volts and amperes everywhere, from the sources' and loads' present state. */
  solve(): void {
    this.#followSwitches();
    for (const [id, source] of this.#sources) this.#solveSource(id, source);
  }

  #legIndex(leg: string): LegIndex {
    return this.#boat.ac?.legs.indexOf(leg) === 1 ? 1 : 0;
  }

  #followSwitches(): void {
    if (this.#changesSeen === this.#switches.changes) return;
    this.#changesSeen = this.#switches.changes;
    for (const [id, flow] of this.atSwitch) {
      Object.assign(flow, noFlow());
      this.#ways.set(id, this.#switches.wayTo(id));
    }
    for (const id of this.#sources.keys()) this.#fed.set(id, []);
    for (const bus of this.atBus.values()) {
      Object.assign(bus, noFlow());
      for (const circuit of bus.circuits) circuit.volts = circuit.amps = ZERO;
      const { top, through } = this.#switches.wayTo(bus.id);
      bus.through = through;
      if (top !== null) this.#fed.get(top)?.push(bus);
    }
  }

  #solveSource(id: PartId, source: AcSource): void {
    const terminals = this.atSource.get(id) ?? noFlow();
    const buses = this.#fed.get(id) ?? [];
    if (source.emfVolts[0] === 0 && source.emfVolts[1] === 0) {
      this.#still(id, terminals, buses);
      return;
    }
    const side = sourceSide(source);
    const wasDead = magnitude(terminals.volts[0]) + magnitude(terminals.volts[1]) === 0;
    if (wasDead) terminals.volts = side.emf;
    for (let round = 0; round < MOST_ROUNDS; round += 1) {
      const load = this.#drawnFrom(terminals, buses);
      const solved = solveThreeWire(side, load).legs;
      const moved = Math.max(
        ...LEG_INDICES.map((leg) => distance(solved[leg], terminals.volts[leg])),
      );
      terminals.volts = solved;
      if (moved < VOLTS_CLOSE_ENOUGH) break;
    }
    this.#drawnFrom(terminals, buses);
    this.#fillSwitches(id, terminals);
  }

  /** A dead source: nothing flows in all that hangs on it. */
  #still(id: PartId, terminals: Flow, buses: readonly BusFlow[]): void {
    if (terminals.volts[0] === ZERO && terminals.volts[1] === ZERO) return;
    Object.assign(terminals, noFlow());
    for (const bus of buses) {
      Object.assign(bus, noFlow());
      for (const circuit of bus.circuits) circuit.volts = circuit.amps = ZERO;
    }
    for (const [part, way] of this.#ways) {
      const flow = this.atSwitch.get(part);
      if (way.top === id && flow !== undefined) Object.assign(flow, noFlow());
    }
  }

  /** Fills in buses and circuits for these terminal volts; gives back what it all draws. */
  #drawnFrom(terminals: Flow, buses: readonly BusFlow[]): LoadSide {
    const load: LoadSide = { toNeutral: [ZERO, ZERO], across: ZERO, extra: [ZERO, ZERO] };
    terminals.amps = [ZERO, ZERO];
    for (const bus of buses) {
      bus.volts = this.#behind(terminals.volts, bus.through);
      bus.amps = [ZERO, ZERO];
      for (const circuit of bus.circuits) this.#drawCircuit(circuit, bus, load);
      for (const leg of LEG_INDICES) terminals.amps[leg] = add(terminals.amps[leg], bus.amps[leg]);
    }
    this.#addSwitchAmps(buses);
    // What the siemens would draw at the terminals differs from what really flows by the little
    // that the boat's own contacts drop.
    for (const leg of LEG_INDICES) {
      const other = leg === 0 ? 1 : 0;
      const across = subtract(terminals.volts[leg], terminals.volts[other]);
      const linear = add(
        multiply(load.toNeutral[leg], terminals.volts[leg]),
        multiply(load.across, across),
      );
      load.extra[leg] = subtract(terminals.amps[leg], linear);
    }
    return load;
  }

  #drawCircuit(circuit: CircuitFlow, bus: BusFlow, load: LoadSide): void {
    const [leg = 0] = circuit.legs;
    const isAcross = circuit.legs.length > 1;
    const isClosed = this.#switches.contactOf(circuit.id) === 'closed';
    circuit.volts = isAcross ? subtract(bus.volts[0], bus.volts[1]) : bus.volts[leg];
    circuit.amps = ZERO;
    if (!isClosed) {
      circuit.volts = ZERO;
      return;
    }
    const siemens = circuit.load.admittance(magnitude(circuit.volts));
    circuit.amps = multiply(siemens, circuit.volts);
    bus.amps[leg] = add(bus.amps[leg], circuit.amps);
    if (isAcross) {
      bus.amps[1] = subtract(bus.amps[1], circuit.amps);
      load.across = add(load.across, siemens);
    } else load.toNeutral[leg] = add(load.toNeutral[leg], siemens);
  }

  #addSwitchAmps(buses: readonly BusFlow[]): void {
    for (const bus of buses) {
      for (const id of bus.through) {
        const flow = this.atSwitch.get(id);
        if (flow !== undefined) flow.amps = [ZERO, ZERO];
      }
    }
    for (const bus of buses) {
      for (const id of bus.through) {
        const flow = this.atSwitch.get(id);
        if (flow === undefined) continue;
        for (const leg of LEG_INDICES) flow.amps[leg] = add(flow.amps[leg], bus.amps[leg]);
      }
    }
  }

  /** Volts behind a row of contacts, from what flows through each of them at present. */
  #behind(volts: PerLeg<Complex>, through: readonly PartId[]): PerLeg<Complex> {
    let [first, second] = volts;
    for (const id of through) {
      const flow = this.atSwitch.get(id);
      if (flow === undefined) continue;
      const neutral = add(flow.amps[0], flow.amps[1]);
      first = subtract(first, scale(add(flow.amps[0], neutral), this.#contactOhms));
      second = subtract(second, scale(add(flow.amps[1], neutral), this.#contactOhms));
    }
    return [first, second];
  }

  #fillSwitches(source: PartId, terminals: Flow): void {
    for (const [id, way] of this.#ways) {
      const flow = this.atSwitch.get(id);
      if (way.top !== source || flow === undefined) continue;
      flow.volts = this.#behind(terminals.volts, way.through);
    }
  }
}

function sourceSide(source: AcSource): SourceSide {
  const siemens = (leg: LegIndex): Complex => {
    const ohms = source.impedance[leg];
    return ohms === null ? ZERO : divide(complex(1), ohms);
  };
  const radians = ((source.degreesApart ?? 180) * Math.PI) / 180;
  const [first, second] = source.emfVolts;
  return {
    emf: [complex(first), complex(second * Math.cos(radians), second * Math.sin(radians))],
    siemens: [siemens(0), siemens(1)],
    neutralOhms: source.neutralOhms,
  };
}

const distance = (a: Complex, b: Complex): number => magnitude(subtract(a, b));

/** Watts of each leg of a flow. */
export function wattsByLeg(flow: Flow): PerLeg<number> {
  return [wattsOf(flow.volts[0], flow.amps[0]), wattsOf(flow.volts[1], flow.amps[1])];
}
