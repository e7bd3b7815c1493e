/**
 * What feeds a bus, told by what moves together: voltages that ripple alike, currents that step at
 * once, a frequency that only one source has. Soft evidence: it chooses between what the readings
 * allow and gives way where they contradict it. Watched only on buses that more than one live
 * source may feed, and anew after anything that may have been a turn.
 */
import type { Boat, LegName, Point } from '../../boat/boat.ts';
import type { Conclusions } from '../conclusions.ts';
import type { Facts } from '../facts.ts';
import type { FeedTies, MeasuredBus, Tie, Unbroken } from '../feed-ties.ts';
import type { SoftEvidence } from '../group-solver.ts';
import type { Latest } from '../latest.ts';
import { circuitsOn } from '../lookup.ts';
import { reach } from '../reasons.ts';
import type { Supply } from '../supply.ts';
import { Distances } from './distances.ts';
import { HertzWitness } from './hertz-witness.ts';
import { LevelWitness } from './level-witness.ts';
import { RippleWitness } from './ripple-witness.ts';
import { StepWitness } from './step-witness.ts';
import type { LegClamps } from './step-witness.ts';
import type { Rival, Setting, Told, Witness } from './witness.ts';

/** A bus under watch since nothing can have been turned. */
interface Watch {
  measured: MeasuredBus;
  unbroken: Unbroken;
  sinceMs: number;
  witnesses: readonly Witness[];
  steps: StepWitness | null;
  /** Where the steps so far say that it hangs. */
  tie: Tie | null;
  /** To each source that may feed it, in case that it does. */
  holds: readonly Hold[];
}

/** Since when nothing has looked as if the bus had been turned away from one source. */
interface Hold {
  root: number;
  byDistance: Held;
  byCurrents: Held;
}

interface Held {
  tie: Tie | null;
  sinceMs: number;
}

export class Movement {
  readonly #boat: Boat;
  readonly #supply: Supply;
  readonly #latest: Latest;
  readonly #ties: FeedTies;
  readonly #watches = new Map<number, Watch>();
  readonly #distances = new Distances();
  /** Roots that may feed each part by the reported positions; by what they were found from. */
  #reached: readonly ReadonlySet<number>[] = [];
  #reachedKey: string | null = null;
  /** Buses that need no watch, with the live sources that this was found for. */
  readonly #settled = new Map<number, string>();

  constructor(boat: Boat, supply: Supply, latest: Latest, ties: FeedTies) {
    this.#boat = boat;
    this.#supply = supply;
    this.#latest = latest;
    this.#ties = ties;
  }

  /** Takes in the newest readings; what was moving before somebody spoke at `spokenMs` is over. */
  look(facts: Facts, spokenMs: number, nowMs: number): SoftEvidence[] {
    this.#reach(facts);
    const found: SoftEvidence[] = [];
    for (const measured of this.#ties.buses) {
      const watch = this.#watchOf(measured, facts, spokenMs, nowMs);
      if (!watch) continue;
      for (const witness of watch.witnesses) witness.look(this.#latest, nowMs);
      this.#tieSteps(watch, nowMs);
      this.#hold(watch, nowMs);
      for (const witness of watch.witnesses) {
        const { name, told, isByDistance } = witness;
        if (!told || !stands(watch, witness, told)) continue;
        const rules = [{ part: measured.number, roots: [told.root] }];
        const footing = isByDistance ? 'distance' : 'movement';
        found.push({ name: nameOf(name, measured.number), footing, rules });
      }
    }
    return found;
  }

  /** Learns from what the readings alone tell; begins anew where they contradict what was told. */
  learn(conclusions: Conclusions, nowMs: number): void {
    for (const measured of this.#ties.buses) this.#learnDistance(measured, conclusions, nowMs);
    if (conclusions.refused.length === 0) return;
    for (const [bus, { witnesses }] of this.#watches) {
      const isRefused = witnesses.some(({ name }) =>
        conclusions.refused.includes(nameOf(name, bus)),
      );
      if (isRefused) this.#watches.delete(bus);
    }
  }

  /** Reason behind what rests on movement, or null where the evidence is another. */
  reason(name: string, nowMs: number): string | null {
    for (const [bus, { witnesses }] of this.#watches) {
      const own = witnesses.find((witness) => nameOf(witness.name, bus) === name);
      if (own) return own.reason(nowMs);
    }
    return null;
  }

  #reach({ reported }: Facts): void {
    const key = [...reported].flat().join();
    if (key === this.#reachedKey) return;
    this.#reachedKey = key;
    this.#settled.clear();
    this.#watches.clear();
    this.#reached = reach(this.#supply, (part) =>
      (this.#supply.parts[part]?.choices ?? []).flatMap(({ name }, at) =>
        (reported.get(part) ?? name) === name ? [at] : [],
      ),
    );
  }

  #watchOf(
    measured: MeasuredBus,
    facts: Facts,
    spokenMs: number,
    nowMs: number,
  ): Watch | undefined {
    const { number } = measured;
    const live = this.#ties.liveSources(measured);
    if (this.#settled.get(number) === live) return undefined;
    const before = this.#watches.get(number);
    if (before && before.sinceMs > spokenMs) {
      if (this.#ties.isUnbroken(measured, before.unbroken, nowMs)) return before;
    }
    this.#watches.delete(number);
    const rivals = this.#rivals(measured, facts);
    if (rivals.length < 2) {
      this.#settled.set(number, live);
      return undefined;
    }
    this.#settled.delete(number);
    const unbroken = this.#ties.begin(measured, nowMs);
    const fresh = unbroken && this.#begin(measured, unbroken, rivals, nowMs);
    if (fresh) this.#watches.set(number, fresh);
    return fresh ?? undefined;
  }

  /** Sources that may feed the bus and are not known to be dead on one of its legs. */
  #rivals({ number, volts }: MeasuredBus, facts: Facts): Rival[] {
    return [...(this.#reached[number] ?? [])].flatMap((root): Rival[] => {
      const own = this.#supply.parts[root];
      const legs = facts.roots.get(root);
      const isAlive = [...volts.keys()].every(
        (leg) => own?.legs.includes(leg) === true && legs?.get(leg) !== 'dead',
      );
      return own && isAlive ? [{ root, label: own.part.label }] : [];
    });
  }

  #begin(
    measured: MeasuredBus,
    unbroken: Unbroken,
    rivals: readonly Rival[],
    nowMs: number,
  ): Watch {
    const legs = [...measured.volts.keys()];
    const setting: Setting = { busLabel: measured.bus.label, legs, rivals, sinceMs: nowMs };
    const steps = this.#steps(measured, setting);
    const witnesses = [
      steps,
      this.#ripple(measured, setting),
      this.#hertz(measured, setting),
      this.#level(measured, setting),
    ];
    return {
      measured,
      unbroken,
      sinceMs: nowMs,
      witnesses: witnesses.filter((own) => own !== null),
      steps,
      tie: null,
      holds: rivals.map(({ root }) => ({
        root,
        byDistance: { tie: null, sinceMs: nowMs },
        byCurrents: { tie: null, sinceMs: nowMs },
      })),
    };
  }

  #ripple({ volts }: MeasuredBus, setting: Setting): Witness | null {
    const sources = this.#voltmeters(setting);
    return sources && new RippleWitness(setting, [...volts.values()], sources);
  }

  #level({ number, volts, bus }: MeasuredBus, setting: Setting): Witness | null {
    const sources = this.#voltmeters(setting);
    const amps = bus.legs.flatMap((leg) => this.#pointOf(number, 'amps', leg) ?? []);
    if (!sources || amps.length < bus.legs.length) return null;
    const points = { bus: [...volts.values()], sources, amps };
    return new LevelWitness(number, setting, points, this.#distances);
  }

  /** Of each rival, leg by leg as the bus's; null unless every one of them has all. */
  #voltmeters({ rivals, legs }: Setting): Point[][] | null {
    const found = rivals.map(({ root }) =>
      legs.flatMap((leg) => this.#pointOf(root, 'volts', leg) ?? []),
    );
    return found.every((own) => own.length === legs.length) ? found : null;
  }

  #learnDistance(
    { number, volts, bus }: MeasuredBus,
    conclusions: Conclusions,
    nowMs: number,
  ): void {
    const conclusion = conclusions.parts[number];
    const [root] = conclusion?.roots ?? [];
    if (conclusion?.roots.size !== 1 || root === undefined || root < 0) return;
    if (conclusion.feedRestsOn !== 'readings') return;
    if (!this.#distances.isDue(number, root, nowMs)) return;
    let apart = 0;
    for (const [leg, point] of volts) {
      const source = this.#pointOf(root, 'volts', leg);
      const own = this.#latest.numberAt(point, nowMs);
      const above = source ? this.#latest.numberAt(source, nowMs) : null;
      if (own === null || above === null || this.#latest.isStill(point)) return;
      apart += own - above;
    }
    let amps = 0;
    for (const leg of bus.legs) {
      const clamp = this.#pointOf(number, 'amps', leg);
      const own = clamp ? this.#latest.numberAt(clamp, nowMs) : null;
      if (own === null) return;
      amps = Math.max(amps, Math.abs(own));
    }
    this.#distances.learn(number, root, { volts: apart / volts.size, amps }, nowMs);
  }

  #hertz({ number }: MeasuredBus, setting: Setting): Witness | null {
    const bus = this.#pointOf(number, 'hertz');
    const sources = setting.rivals.flatMap(({ root }) => this.#pointOf(root, 'hertz') ?? []);
    const isWhole = bus !== undefined && sources.length === setting.rivals.length;
    return isWhole ? new HertzWitness(setting, bus, sources) : null;
  }

  /** Legs on which the bus and each of its sources have clamps. */
  #steps({ number, bus }: MeasuredBus, setting: Setting): StepWitness | null {
    const legs = bus.legs.flatMap((leg): LegClamps[] => {
      const sources = setting.rivals.flatMap(({ root }) => this.#pointOf(root, 'amps', leg) ?? []);
      const own = this.#pointOf(number, 'amps', leg);
      const clamps = own ? [own] : this.#circuitClamps(bus.id, leg);
      const isWhole = clamps.length > 0 && sources.length === setting.rivals.length;
      return isWhole ? [{ bus: clamps, sources }] : [];
    });
    return legs.length > 0 ? new StepWitness(setting, legs) : null;
  }

  #circuitClamps(bus: string, leg: LegName): Point[] {
    return circuitsOn(this.#boat, bus)
      .filter((circuit) => circuit.legs.includes(leg))
      .flatMap((circuit) => {
        const own = circuit.legs.map((each) => this.#latest.point(circuit.id, 'amps', each));
        return own.find((point) => point !== undefined) ?? [];
      });
  }

  #pointOf(part: number, quantity: 'volts' | 'amps' | 'hertz', leg?: LegName): Point | undefined {
    const id = this.#supply.parts[part]?.part.id;
    return id === undefined ? undefined : this.#latest.point(id, quantity, leg);
  }

  #hold({ measured, holds }: Watch, nowMs: number): void {
    const keep = (root: number, held: Held, isHeld: (tie: Tie) => boolean): void => {
      if (held.tie && isHeld(held.tie)) return;
      held.tie = this.#ties.tie(measured, root, nowMs);
      held.sinceMs = nowMs;
    };
    for (const { root, byDistance, byCurrents } of holds) {
      keep(root, byDistance, (tie) => this.#ties.keepsDistance(measured, tie, nowMs));
      keep(root, byCurrents, (tie) => this.#ties.holds(measured, tie, nowMs));
    }
  }

  /** Steps come minutes apart, so between them nothing may look like a turn. */
  #tieSteps(watch: Watch, nowMs: number): void {
    const { measured, steps, tie } = watch;
    const root = steps?.leaning ?? null;
    if (steps === null || root === null) return;
    if (tie?.root !== root) watch.tie = this.#ties.tie(measured, root, nowMs);
    else if (this.#ties.holds(measured, tie, nowMs)) return;
    else {
      steps.forget();
      watch.tie = null;
    }
  }
}

/**
 * A turn may break and make between two readings. What is told by movement counts only where none
 * can have happened since the first reading that it rests on.
 */
function stands({ holds, steps }: Watch, witness: Witness, told: Told): boolean {
  if (witness === steps) return true;
  const own = holds.find(({ root }) => root === told.root);
  const held = witness.isByDistance ? own?.byDistance : own?.byCurrents;
  return held !== undefined && held.tie !== null && held.sinceMs <= told.restsFromMs;
}

const nameOf = (witness: string, bus: number): string => `${witness} ${bus}`;
