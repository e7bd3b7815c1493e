/**
 * Puts the panel state together: facts from the readings, positions from the facts, and from both
 * the loads, headroom and reasons of every source, selector, main switch, bus, circuit and battery.
 */
import type {
  Battery,
  Boat,
  Bus,
  Circuit,
  MainSwitch,
  PartId,
  Selector,
  Source,
} from '../boat/boat.ts';
import { circuitHabits } from './circuit-habits.ts';
import { Reasoner } from './conclusions.ts';
import type { Conclusion, Conclusions, Footing } from './conclusions.ts';
import { ContradictionFinder } from './contradictions.ts';
import { FactFinder } from './facts.ts';
import { FeedMemory } from './feed-memory.ts';
import { derive, firstKnown, headroom, ratio, sum } from './known.ts';
import { UNKNOWN } from './latest.ts';
import type { Latest } from './latest.ts';
import { busLegs, circuitAmps, circuitWatts, sourceLegs, unmeteredAmps } from './legs.ts';
import type {
  Activity,
  BatteryState,
  BusState,
  CircuitState,
  Evidence,
  Known,
  LegState,
  Live,
  MainSwitchState,
  PanelEvent,
  PanelState,
  SelectorState,
  SourceState,
  SwitchPosition,
} from './panel-state.ts';
import { byId } from './lookup.ts';
import { nominalVolts } from './nominal.ts';
import { activeSince } from './past.ts';
import type { Past } from './past.ts';
import { feedReasons, positionReasons } from './reasons.ts';
import type { Grounds } from './reasons.ts';
import { dropRefused, statementEvidence, statementReason } from './statements.ts';
import { supplyOf } from './supply.ts';
import type { Supply } from './supply.ts';

/** Works out the state of one boat's panel; keeps what it found until a fact changes. */
export class Panel {
  readonly #boat: Boat;
  readonly #supply: Supply;
  readonly #latest: Latest;
  readonly #past: Past;
  readonly #finder: FactFinder;
  readonly #reasoner: Reasoner;
  readonly #memory: FeedMemory;
  readonly #events: PanelEvent[] = [];
  readonly #contradictions: ContradictionFinder;
  #reasonsKey = '';
  #reasons = new Map<number, string[]>();

  constructor(boat: Boat, latest: Latest, past: Past) {
    this.#boat = boat;
    this.#supply = supplyOf(boat);
    this.#latest = latest;
    this.#past = past;
    this.#finder = new FactFinder(boat, this.#supply, latest);
    this.#reasoner = new Reasoner(this.#supply);
    this.#contradictions = new ContradictionFinder(boat, this.#supply, latest, past);
    this.#memory = new FeedMemory(boat, this.#supply, latest);
  }

  /** The panel as of `nowMs`. */
  state(nowMs: number): Omit<PanelState, 'mode'> {
    const boat = this.#boat;
    const words = statementEvidence(this.#supply, this.#past);
    const spokenOf = new Set(words.flatMap(({ rules }) => rules.map((rule) => rule.part)));
    const facts = this.#finder.collect(nowMs, spokenOf);
    const soft = [...words, ...this.#memory.recall(facts, nowMs)];
    const conclusions = this.#reasoner.conclude(facts, soft);
    this.#memory.learn(facts, conclusions, nowMs);
    this.#events.push(...dropRefused(this.#supply, this.#past, conclusions, nowMs));
    const grounds: Grounds = {
      supply: this.#supply,
      facts,
      conclusions,
      reasoner: this.#reasoner,
      softReason: (name) => this.#softReason(name, nowMs),
    };
    if (conclusions.key !== this.#reasonsKey) {
      this.#reasonsKey = conclusions.key;
      this.#reasons = new Map();
    }
    const ampsOf = new Map<PartId, Known>(
      boat.circuits.map((circuit) => [
        circuit.id,
        circuitAmps(this.#latest, circuit, nominalVolts(boat, circuit.system), nowMs),
      ]),
    );
    const buses = boat.buses.map((bus) => this.#bus(bus, grounds, ampsOf, nowMs));
    return {
      boat: boat.name,
      atMs: nowMs,
      sources: boat.sources.map((source) => this.#source(source, conclusions, buses, nowMs)),
      selectors: boat.selectors.map((own) => this.#selector(own, grounds)),
      mainSwitches: boat.mainSwitches.map((own) => this.#mainSwitch(own, grounds, nowMs)),
      buses,
      circuits: boat.circuits.map((own) => this.#circuit(own, buses, ampsOf, nowMs)),
      batteries: boat.batteries.map((own) => this.#battery(own, nowMs)),
      points: [...boat.points.values()].map((point) => this.#latest.state(point, nowMs)),
      contradictions: this.#contradictions.find(facts, conclusions, nowMs),
    };
  }

  /** What has happened to the evidence itself since this was last asked. */
  takeEvents(): PanelEvent[] {
    return this.#events.splice(0);
  }

  #softReason(name: string, nowMs: number): string {
    return (
      statementReason(this.#supply, this.#past, name) ??
      this.#memory.reason(name, nowMs) ??
      'The readings told it before.'
    );
  }

  #numberOf(id: PartId): number {
    return this.#supply.numberOf.get(id) ?? -1;
  }

  /** Reasons that hold no time stay valid until a fact changes. */
  #because(number: number, { conclusions }: Grounds, make: () => string[]): string[] {
    const own = conclusions.parts[number];
    if (own && (own.positionBy !== null || own.feedBy !== null)) return make();
    let reasons = this.#reasons.get(number);
    if (!reasons) this.#reasons.set(number, (reasons = make()));
    return reasons;
  }

  #selector(selector: Selector, grounds: Grounds): SelectorState {
    const { facts, conclusions } = grounds;
    const number = this.#numberOf(selector.id);
    const possible = this.#possible(number, conclusions);
    const [only] = possible;
    const position = possible.length === 1 && only !== undefined ? only : null;
    const last = this.#past.positions[selector.id];
    return {
      id: selector.id,
      label: selector.label,
      position,
      evidence:
        position === null
          ? 'unknown'
          : facts.reported.has(number)
            ? 'measured'
            : evidenceOf(conclusions.parts[number]?.positionRestsOn),
      possible,
      positions: [...selector.positions].map(([name, from]) => ({ name, from })),
      ...(position === null && last !== undefined ? { lastPosition: last } : {}),
      because: this.#because(number, grounds, () => positionReasons(grounds, number)),
    };
  }

  #mainSwitch(own: MainSwitch, grounds: Grounds, nowMs: number): MainSwitchState {
    const { conclusions } = grounds;
    const number = this.#numberOf(own.id);
    const reported = this.#latest.word(own.id, 'switch', nowMs);
    const possible = this.#possible(number, conclusions);
    const inferred = possible.length === 1 ? possible[0] : undefined;
    const position = switchPosition(reported ?? inferred);
    const last = this.#past.positions[own.id];
    return {
      id: own.id,
      label: own.label,
      position,
      evidence:
        position === 'unknown'
          ? 'unknown'
          : reported === null
            ? evidenceOf(conclusions.parts[number]?.positionRestsOn)
            : 'measured',
      from: own.from,
      ...(position === 'unknown' && last !== undefined
        ? { lastPosition: switchPosition(last) }
        : {}),
      because: this.#because(number, grounds, () => positionReasons(grounds, number)),
    };
  }

  #possible(number: number, conclusions: Conclusions): string[] {
    const choices = this.#supply.parts[number]?.choices ?? [];
    return (conclusions.parts[number]?.possible ?? []).map((index) => choices[index]?.name ?? '');
  }

  #bus(bus: Bus, grounds: Grounds, ampsOf: ReadonlyMap<PartId, Known>, nowMs: number): BusState {
    const { conclusions } = grounds;
    const number = this.#numberOf(bus.id);
    const conclusion = conclusions.parts[number];
    const legs = busLegs(this.#boat, this.#latest, bus, conclusion, ampsOf, nowMs);
    const root = onlyRoot(conclusion);
    return {
      id: bus.id,
      label: bus.label,
      system: bus.system,
      from: bus.from,
      legs,
      watts: sum(legs.map((leg) => leg.watts)),
      fedBy: root === null || root < 0 ? null : (this.#supply.parts[root]?.part.id ?? null),
      fedByIsKnown: root !== null,
      feedEvidence: root === null ? 'unknown' : evidenceOf(conclusion?.feedRestsOn),
      unmeteredAmps: legs.map((leg) => ({
        leg: leg.leg,
        amps: unmeteredAmps(this.#boat, this.#latest, bus, leg, ampsOf, nowMs),
      })),
      because: this.#because(number, grounds, () => feedReasons(grounds, number)),
    };
  }

  #source(
    source: Source,
    conclusions: Conclusions,
    buses: readonly BusState[],
    nowMs: number,
  ): SourceState {
    const number = this.#numberOf(source.id);
    const group = this.#supply.parts[number]?.group;
    const near = buses.filter((bus) => this.#supply.parts[this.#numberOf(bus.id)]?.group === group);
    const fed = near.filter((bus) => bus.fedBy === source.id);
    const feedsIsKnown = near.every(
      (bus) => bus.fedByIsKnown || !this.#mayFeed(number, bus, conclusions),
    );
    const fedLegs = feedsIsKnown ? fed.flatMap((bus) => bus.legs) : null;
    const legs = sourceLegs(this.#latest, source, conclusions.parts[number], fedLegs, nowMs);
    const watts = sum(legs.map((leg) => leg.watts));
    const wattsRated = 'wattsRated' in source ? source.wattsRated : null;
    return {
      id: source.id,
      label: source.label,
      kind: source.kind,
      system: source.system,
      legs,
      hertz: this.#latest.number(source.id, 'hertz', nowMs),
      watts,
      wattsRated,
      loadRatio: sourceLoad(legs, watts, wattsRated),
      feeds: fed.map((bus) => bus.id),
      feedsIsKnown,
      because: fed.flatMap((bus) => bus.because),
    };
  }

  #mayFeed(root: number, bus: BusState, conclusions: Conclusions): boolean {
    return conclusions.parts[this.#numberOf(bus.id)]?.roots.has(root) ?? false;
  }

  #circuit(
    circuit: Circuit,
    buses: readonly BusState[],
    ampsOf: ReadonlyMap<PartId, Known>,
    nowMs: number,
  ): CircuitState {
    const bus = byId(buses, circuit.bus);
    const amps = ampsOf.get(circuit.id) ?? UNKNOWN;
    const activity = activityOf(amps, circuit.drawingAmps);
    const { breaker } = circuit;
    return {
      id: circuit.id,
      label: circuit.label,
      system: circuit.system,
      position: circuit.position ?? null,
      bus: circuit.bus,
      legs: circuit.legs,
      live: together(
        (bus?.legs ?? []).filter((leg) => circuit.legs.includes(leg.leg)).map((leg) => leg.live),
      ),
      activity,
      activeSinceMs: activeSince(this.#past, circuit.id, activity, nowMs),
      habits: circuitHabits((this.#past.habits ??= {}), this.#boat, circuit, amps, nowMs),
      amps,
      watts: this.#circuitWatts(circuit, bus, amps, nowMs),
      breaker: { ampsRated: breaker.ampsRated, kind: breaker.kind },
      loadRatio: ratio(amps, breaker.ampsRated),
      headroomAmps: headroom(amps, breaker.ampsRated),
      load: circuit.load,
      requires: circuit.requires,
      excludes: circuit.excludes,
      standingOrder: circuit.standingOrder ?? null,
      note: circuit.note ?? null,
    };
  }

  /** Measured watts, else the volts of its bus legs x amps. */
  #circuitWatts(circuit: Circuit, bus: BusState | undefined, amps: Known, nowMs: number): Known {
    const volts = sum(
      (bus?.legs ?? []).filter((leg) => circuit.legs.includes(leg.leg)).map((leg) => leg.volts),
    );
    return firstKnown(
      circuitWatts(this.#latest, circuit, nowMs),
      derive([volts, amps], (v, a) => v * a, 'inferred'),
    );
  }

  #battery(battery: Battery, nowMs: number): BatteryState {
    const of = (quantity: 'volts' | 'amps' | 'watts', leg?: string): Known =>
      this.#latest.number(battery.id, quantity, nowMs, leg);
    const [leg] = battery.legs;
    const volts = of('volts', leg);
    const amps = of('amps', leg);
    return {
      id: battery.id,
      label: battery.label,
      volts,
      amps,
      watts: firstKnown(
        of('watts', leg),
        derive([volts, amps], (v, a) => v * a, 'inferred'),
      ),
      stateOfCharge: this.#latest.number(battery.id, 'stateOfCharge', nowMs),
      celsius: this.#latest.number(battery.id, 'celsius', nowMs),
      ampHours: battery.ampHours,
      ...NOT_REMEMBERED,
    };
  }
}

/** What `batteries.ts` fills in, which knows the hours before. */
const NOT_REMEMBERED = {
  floorRatio: 0,
  hoursLeft: null,
  hoursLeftBecause: '',
  drainAmps: null,
  usualDrainAmps: null,
  lastFullMs: null,
  watchedSinceFullMs: 0,
} as const;

/** A memory is what readings told before. */
const evidenceOf = (footing: Footing | undefined): Evidence =>
  footing === 'statement' ? 'stated' : 'inferred';

const SWITCH_POSITIONS: readonly SwitchPosition[] = ['closed', 'open', 'tripped'];

const switchPosition = (word: string | undefined): SwitchPosition =>
  SWITCH_POSITIONS.find((own) => own === word) ?? 'unknown';

/** The one root that all combinations agree on (-1: none), or null where they differ. */
function onlyRoot(conclusion: Conclusion | undefined): number | null {
  const roots = [...(conclusion?.roots ?? [])];
  const [root] = roots;
  return roots.length === 1 && root !== undefined ? root : null;
}

function activityOf(amps: Known, drawingAmps: number): Activity {
  if (amps.value === null) return 'unknown';
  return amps.value > drawingAmps ? 'drawing' : 'not drawing';
}

/** A load across two legs is live only if both are. */
function together(states: readonly Live[]): Live {
  if (states.length === 0 || states.includes('unknown')) return 'unknown';
  return states.every((state) => state === 'live') ? 'live' : 'dead';
}

/** The larger of the fullest leg and the total power, as far as each is known. */
function sourceLoad(legs: readonly LegState[], watts: Known, wattsRated: number | null): Known {
  const known = [...legs.map((leg) => leg.loadRatio), ratio(watts, wattsRated)].filter(
    (own) => own.value !== null,
  );
  return known.length === 0 ? UNKNOWN : derive(known, (...values) => Math.max(...values));
}
