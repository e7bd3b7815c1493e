/**
 * Puts the panel state together: facts from the readings, positions from the facts, and from both
 * the loads, headroom and reasons of every source, selector, main switch, bus, circuit and battery.
 */
import type { Boat, PartId } from '../boat/boat.ts';
import { batteryLater, batteryReadings } from './battery-readings.ts';
import { busLater, busState } from './bus-state.ts';
import { circuitLater, circuitState } from './circuit-state.ts';
import { Reasoner } from './conclusions.ts';
import { ContradictionFinder } from './contradictions.ts';
import { FactFinder } from './facts.ts';
import { Movement } from './evidence/movement.ts';
import { FeedMemory } from './feed-memory.ts';
import { FeedTies } from './feed-ties.ts';
import { Hanging } from './hanging.ts';
import { numberOf } from './instant.ts';
import type { Instant } from './instant.ts';
import { KeptReasons } from './kept-reasons.ts';
import { later } from './known.ts';
import { UNKNOWN } from './latest.ts';
import type { Latest } from './latest.ts';
import { circuitAmps } from './legs.ts';
import { byId } from './lookup.ts';
import { News } from './news.ts';
import { nominalVolts } from './nominal.ts';
import type { PanelEvent, PanelState } from './panel-state.ts';
import type { Past } from './past.ts';
import { feedReasons, positionReasons } from './reasons.ts';
import type { Grounds } from './reasons.ts';
import { sourceLater, sourceState } from './source-state.ts';
import { dropRefused, lastWordMs, statementEvidence, statementReason } from './statements.ts';
import { supplyOf } from './supply.ts';
import type { Supply } from './supply.ts';
import { mainSwitchState, selectorState } from './switch-state.ts';

/** Works out the state of one boat's panel; keeps what it found until a fact changes. */
export class Panel {
  readonly #boat: Boat;
  readonly #supply: Supply;
  readonly #latest: Latest;
  readonly #past: Past;
  readonly #hanging: Hanging;
  readonly #finder: FactFinder;
  readonly #reasoner: Reasoner;
  readonly #ties: FeedTies;
  readonly #movement: Movement;
  readonly #memory: FeedMemory;
  readonly #events: PanelEvent[] = [];
  readonly #contradictions: ContradictionFinder;
  readonly #reasons = new KeptReasons();
  readonly #news = new News();
  #before: Omit<PanelState, 'mode'> | null = null;

  constructor(boat: Boat, latest: Latest, past: Past) {
    this.#boat = boat;
    this.#supply = supplyOf(boat);
    this.#latest = latest;
    this.#past = past;
    this.#hanging = new Hanging(boat, latest);
    this.#finder = new FactFinder(boat, this.#supply, latest, this.#hanging);
    this.#reasoner = new Reasoner(this.#supply);
    this.#contradictions = new ContradictionFinder(boat, this.#supply, latest, past);
    this.#ties = new FeedTies(boat, this.#supply, latest);
    this.#movement = new Movement(boat, this.#supply, latest, this.#ties);
    this.#memory = new FeedMemory(this.#supply, this.#ties);
  }

  /** The panel as of `nowMs`. */
  state(nowMs: number): Omit<PanelState, 'mode'> {
    const boat = this.#boat;
    const words = statementEvidence(this.#supply, this.#past);
    const spokenOf = new Set(words.flatMap(({ rules }) => rules.map((rule) => rule.part)));
    const facts = this.#finder.collect(nowMs, spokenOf);
    this.#ties.look(facts);
    const moving = this.#movement.look(facts, lastWordMs(this.#past), nowMs);
    const soft = [...moving, ...words, ...this.#memory.recall(nowMs)];
    const conclusions = this.#reasoner.conclude(facts, soft);
    this.#movement.learn(conclusions, nowMs);
    this.#memory.learn(conclusions, nowMs);
    this.#events.push(...dropRefused(this.#supply, this.#past, conclusions, nowMs));
    const grounds: Grounds = {
      supply: this.#supply,
      facts,
      conclusions,
      reasoner: this.#reasoner,
      softReason: (name) => this.#softReason(name, nowMs),
    };
    const instant: Instant = {
      boat,
      supply: this.#supply,
      latest: this.#latest,
      hanging: this.#hanging,
      past: this.#past,
      facts,
      conclusions,
      nowMs,
    };
    const panel = this.#assemble(instant, grounds);
    this.#before = panel;
    return panel;
  }

  /** Only what has news is worked out; the rest is what it was, and older. */
  #assemble(instant: Instant, grounds: Grounds): Omit<PanelState, 'mode'> {
    const { boat, facts, conclusions, nowMs } = instant;
    const news = this.#news.look(instant);
    const before = this.#before && this.#before.atMs <= nowMs ? this.#before : null;
    const byMs = nowMs - (before?.atMs ?? nowMs);
    const renew = <Own extends { id: PartId }, State>(
      parts: readonly Own[],
      old: readonly State[] | undefined,
      make: (own: Own, at: number) => State,
      age: (state: State, own: Own, at: number) => State,
    ): State[] =>
      parts.map((own, at) => {
        const state = news.has(own.id) ? undefined : old?.[at];
        return state === undefined ? make(own, at) : age(state, own, at);
      });
    const position = (id: PartId): string[] => this.#because(positionReasons, grounds, id);
    const feed = (id: PartId): string[] => this.#because(feedReasons, grounds, id);

    const amps = renew(
      boat.circuits,
      before?.circuits.map((old) => old.amps),
      (own) => circuitAmps(this.#latest, own, nominalVolts(boat, own.system), nowMs),
      (old) => later(old, byMs),
    );
    const ampsOf = new Map(boat.circuits.map(({ id }, at) => [id, amps[at] ?? UNKNOWN]));
    const buses = renew(
      boat.buses,
      before?.buses,
      (own) => busState(instant, own, ampsOf, feed(own.id)),
      (old) => busLater(old, byMs, feed(old.id)),
    );
    return {
      boat: boat.name,
      atMs: nowMs,
      sources: renew(
        boat.sources,
        before?.sources,
        (own) => sourceState(instant, own, buses),
        (old) => sourceLater(old, byMs, buses),
      ),
      selectors: renew(
        boat.selectors,
        before?.selectors,
        (own) => selectorState(instant, own, position(own.id)),
        (old) => ({ ...old, because: position(old.id) }),
      ),
      mainSwitches: renew(
        boat.mainSwitches,
        before?.mainSwitches,
        (own) => mainSwitchState(instant, own, position(own.id)),
        (old) => ({ ...old, because: position(old.id) }),
      ),
      buses,
      circuits: renew(
        boat.circuits,
        before?.circuits,
        (own, at) => circuitState(instant, own, byId(buses, own.bus), amps[at] ?? UNKNOWN),
        (old, own, at) => circuitLater(instant, own, old, amps[at] ?? UNKNOWN, byMs),
      ),
      batteries: renew(
        boat.batteries,
        before?.batteries,
        (own) => batteryReadings(instant, own),
        (old) => batteryLater(old, byMs),
      ),
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
      this.#movement.reason(name, nowMs) ??
      this.#memory.reason(name, nowMs) ??
      'The readings told it before.'
    );
  }

  #because(
    reasons: (grounds: Grounds, number: number) => string[],
    grounds: Grounds,
    id: PartId,
  ): string[] {
    const number = numberOf(grounds, id);
    return this.#reasons.of(number, grounds, () => reasons(grounds, number));
  }
}
