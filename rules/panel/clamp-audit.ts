/**
 * Do the clamps tell one story? When a single circuit of a bus is switched, its clamp and the
 * bus's own must step alike. A ratio that is off by the same factor again and again is a wrong
 * scale; a step that shows on the other leg is a clamp, or a circuit, on the wrong leg; a load
 * that gives power back has its clamp the wrong way round. Judged only after several steps.
 */
import type { Boat, Bus, Circuit, LegName, PartId, Point } from '../boat/boat.ts';
import { sensorWords } from './culprits.ts';
import type { Latest } from './latest.ts';
import { circuitsOn } from './lookup.ts';
import type { Contradiction, Culprit } from './panel-state.ts';

/** A step counts from here; whatever else moves by less than `STILL` has not stepped. */
const STEP_AMPS = 1.5;
const STILL_AMPS = 0.3;
const STILL_RATIO = 0.04;
/** All clamps of a bus must stand still so long before and after, longer than any inrush. */
const CALM_MS = 8000;
/** So many steps make a judgement, and so many are remembered. */
const ENOUGH = 4;
const REMEMBERED = 8;
const NEGATIVE_READINGS = 20;
const NEGATIVE_WATTS = 20;

/** Factors that wrong settings make: ratio, burden, milli for whole, three phases for one. */
const FACTORS = [2, 3, 5, 10, 100, 1000, Math.sqrt(3), 1 / 3, 0.5, 0.2, 0.1, 0.01, 0.001];
const FACTOR_TOLERANCE = 0.08;

/** Steps of the bus's clamps per ampere of the circuit's, newest last. */
interface Steps {
  own: number[];
  other: number[];
}

/** Plain JSON, kept over a restart. */
export interface SavedAudit {
  steps: Record<PartId, Steps>;
  /** Readings in a row in which a load gave power back, by point. */
  negative: Record<string, { count: number; atMs: number }>;
}

export const emptyAudit = (): SavedAudit => ({ steps: {}, negative: {} });

/** A copy that later changes do not reach. */
export function copyAudit({ steps, negative }: SavedAudit): SavedAudit {
  return {
    steps: Object.fromEntries(
      Object.entries(steps).map(([id, { own, other }]) => [
        id,
        { own: [...own], other: [...other] },
      ]),
    ),
    negative: Object.fromEntries(Object.entries(negative).map(([id, run]) => [id, { ...run }])),
  };
}

interface WatchedCircuit {
  circuit: Circuit;
  point: Point;
}

interface WatchedBus {
  bus: Bus;
  feeders: { leg: LegName; point: Point }[];
  circuits: WatchedCircuit[];
  /** Values when the bus was last calm, feeders first; null: not since the start. */
  calm: number[] | null;
  /** Values that it may be calm at now, and since when it is. */
  level: number[] | null;
  sinceMs: number;
}

export class ClampAudit {
  readonly #boat: Boat;
  readonly #latest: Latest;
  readonly #buses: WatchedBus[];
  readonly #meters: Point[];

  constructor(boat: Boat, latest: Latest) {
    this.#boat = boat;
    this.#latest = latest;
    this.#buses = boat.buses.flatMap((bus) => watchedBus(boat, latest, bus));
    this.#meters = boat.circuits
      .filter((circuit) => circuit.load !== 'charger')
      .flatMap((circuit) => meterOf(latest, circuit));
  }

  /** Takes in the newest readings; `audit` is changed. Once an evaluation. */
  note(audit: SavedAudit, nowMs: number): void {
    for (const watched of this.#buses) this.#noteBus(audit, watched, nowMs);
    for (const point of this.#meters) this.#noteMeter(audit, point, nowMs);
  }

  /** What several steps have shown to be wrong. */
  contradictions(audit: SavedAudit): Contradiction[] {
    const found: Contradiction[] = [];
    for (const point of this.#meters) {
      const run = audit.negative[point.id];
      if (run && run.count >= NEGATIVE_READINGS) found.push(this.#reversed(point));
    }
    for (const watched of this.#buses) {
      for (const { leg, point } of watched.feeders) {
        found.push(...this.#scales(audit, watched, leg, point));
      }
      for (const own of watched.circuits) found.push(...this.#wrongLeg(audit, watched, own));
    }
    return found;
  }

  #noteMeter(audit: SavedAudit, point: Point, nowMs: number): void {
    const value = this.#latest.numberAt(point, nowMs);
    if (value === null) return;
    const atMs = nowMs - (this.#latest.ageMs(point, nowMs) ?? 0);
    const run = audit.negative[point.id];
    const least = point.quantity === 'watts' ? NEGATIVE_WATTS : this.#boat.limits.drawingAmps;
    if (value > least && run) delete audit.negative[point.id];
    if (value >= -least || run?.atMs === atMs) return;
    audit.negative[point.id] = { count: Math.min(NEGATIVE_READINGS, (run?.count ?? 0) + 1), atMs };
  }

  #noteBus(audit: SavedAudit, watched: WatchedBus, nowMs: number): void {
    const values = this.#values(watched, nowMs);
    if (values === null) {
      watched.calm = null;
      watched.level = null;
      return;
    }
    const { level } = watched;
    if (level === null || values.some((value, i) => hasMoved(level[i] ?? 0, value))) {
      watched.level = values;
      watched.sinceMs = nowMs;
      return;
    }
    if (nowMs - watched.sinceMs < CALM_MS) return;
    if (watched.calm) noteStep(audit, watched, watched.calm, values);
    watched.calm = values;
  }

  /** Magnitudes of all clamps of a bus; null unless each is fresh. */
  #values({ feeders, circuits }: WatchedBus, nowMs: number): number[] | null {
    const values: number[] = [];
    for (const { point } of [...feeders, ...circuits]) {
      const value = this.#latest.numberAt(point, nowMs);
      if (value === null) return null;
      values.push(Math.abs(value));
    }
    return values;
  }

  #reversed(point: Point): Contradiction {
    const words = sensorWords(this.#boat, point);
    return contradictionOf([point.of], `${capital(words)} shows power coming back out of a load.`, {
      kind: 'reversed clamp',
      points: [point.id],
      text: `Most likely ${words} is the wrong way round; turn its clamp, or change its sign in the boat file.`,
    });
  }

  /** Wrong scales on one leg: of the bus's clamp where all circuits agree on it, else of a circuit's. */
  #scales(
    audit: SavedAudit,
    { bus, circuits }: WatchedBus,
    leg: LegName,
    feeder: Point,
  ): Contradiction[] {
    const judged = circuits
      .filter(({ circuit }) => circuit.legs.includes(leg))
      .flatMap((own) => {
        const ratio = steadyRatio(audit.steps[own.circuit.id]?.own);
        return ratio === null ? [] : [{ ...own, factor: factorOf(ratio, own.circuit), ratio }];
      });
    const wrong = judged.filter((own) => own.factor !== null);
    if (wrong.length === 0) return [];
    const [first] = wrong;
    const isFeeder =
      wrong.length > 1 &&
      wrong.length === judged.length &&
      wrong.every((own) => own.factor === first?.factor);
    if (isFeeder && first) return [this.#wrongScale(bus.id, [feeder], first.ratio)];
    const hasWitness = judged.some((own) => own.factor === null);
    return wrong.map((own) =>
      this.#wrongScale(
        own.circuit.id,
        hasWitness ? [own.point] : [own.point, feeder],
        1 / own.ratio,
      ),
    );
  }

  #wrongScale(part: PartId, points: Point[], factor: number): Contradiction {
    const [first] = points;
    const words = points.map((point) => sensorWords(this.#boat, point)).join(' or ');
    const times = factor >= 1 ? factor.toFixed(1) : (1 / factor).toFixed(1);
    const reads = factor >= 1 ? `${times} times too much` : `${times} times too little`;
    const because = first
      ? `Each time one circuit is switched, its clamp and its bus's step by amounts that differ ${times} times.`
      : '';
    return contradictionOf([part], because, {
      kind: 'wrong scale',
      points: points.map((point) => point.id),
      text:
        points.length === 1
          ? `Most likely ${words} reads ${reads}; look at its clamp's ratio and its scale in the boat file.`
          : `Most likely the scale of ${words} is wrong.`,
    });
  }

  #wrongLeg(audit: SavedAudit, { bus, feeders }: WatchedBus, own: WatchedCircuit): Contradiction[] {
    const steps = audit.steps[own.circuit.id];
    const other = steadyRatio(steps?.other);
    const isAbsent = (steps?.own ?? []).slice(-ENOUGH).every((ratio) => Math.abs(ratio) < 0.15);
    if (!steps || steps.own.length < ENOUGH || !isAbsent) return [];
    if (other === null || other < 0.6 || other > 1.4) return [];
    const otherLeg = feeders.find(({ leg }) => !own.circuit.legs.includes(leg))?.leg ?? '';
    const words = sensorWords(this.#boat, own.point);
    return [
      contradictionOf(
        [own.circuit.id],
        `Each time ${own.circuit.label} is switched, ${bus.label} steps on leg ${otherLeg} and not on leg ${own.circuit.legs.join()}.`,
        {
          kind: 'clamp on the wrong leg',
          points: [own.point.id],
          text: `Most likely ${words} is on a wire of leg ${otherLeg}, or the boat file names the wrong leg.`,
        },
      ),
    ];
  }
}

const contradictionOf = (parts: PartId[], because: string, culprit: Culprit): Contradiction => ({
  parts,
  because: [because],
  culprit,
});

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

function watchedBus(boat: Boat, latest: Latest, bus: Bus): WatchedBus[] {
  const feeders = bus.legs.flatMap((leg) => {
    const point = latest.point(bus.id, 'amps', leg);
    return point ? [{ leg, point }] : [];
  });
  const circuits = circuitsOn(boat, bus.id).flatMap((circuit) => {
    const point = circuit.legs
      .map((leg) => latest.point(circuit.id, 'amps', leg))
      .find((own) => own !== undefined);
    return point ? [{ circuit, point }] : [];
  });
  if (feeders.length === 0 || circuits.length === 0) return [];
  return [{ bus, feeders, circuits, calm: null, level: null, sinceMs: 0 }];
}

/** The point that shows the direction of a load's power: watts, or the amperes of direct current. */
const meterOf = (latest: Latest, circuit: Circuit): Point[] =>
  circuit.legs.flatMap((leg) => {
    const watts = latest.point(circuit.id, 'watts', leg);
    const amps = circuit.system === 'dc' ? latest.point(circuit.id, 'amps', leg) : undefined;
    const point = watts ?? amps;
    return point ? [point] : [];
  });

const hasMoved = (from: number, to: number): boolean =>
  Math.abs(to - from) > Math.max(STILL_AMPS, STILL_RATIO * from);

/** Writes down what one circuit's step did to the bus's clamps, if only one circuit stepped. */
function noteStep(
  audit: SavedAudit,
  { feeders, circuits }: WatchedBus,
  before: readonly number[],
  after: readonly number[],
): void {
  const moved = circuits.flatMap((own, i) => {
    const at = feeders.length + i;
    const step = (after[at] ?? 0) - (before[at] ?? 0);
    return hasMoved(before[at] ?? 0, after[at] ?? 0) ? [{ ...own, step }] : [];
  });
  const [only] = moved;
  if (moved.length !== 1 || !only || Math.abs(only.step) < STEP_AMPS) return;
  const steps = (audit.steps[only.circuit.id] ??= { own: [], other: [] });
  const own: number[] = [];
  const other: number[] = [];
  feeders.forEach(({ leg }, i) => {
    const ratio = ((after[i] ?? 0) - (before[i] ?? 0)) / only.step;
    (only.circuit.legs.includes(leg) ? own : other).push(ratio);
  });
  const [ownRatio] = own;
  const [otherRatio] = other;
  if (ownRatio !== undefined) steps.own = [...steps.own, ownRatio].slice(-REMEMBERED);
  if (otherRatio !== undefined) steps.other = [...steps.other, otherRatio].slice(-REMEMBERED);
}

/** The middle of enough ratios that agree within a tenth of it; null where they do not. */
function steadyRatio(ratios: readonly number[] | undefined): number | null {
  const last = (ratios ?? []).slice(-ENOUGH);
  if (last.length < ENOUGH) return null;
  const sorted = [...last].sort((a, b) => a - b);
  const middle = ((sorted[1] ?? 0) + (sorted[2] ?? 0)) / 2;
  const spread = (sorted.at(-1) ?? 0) - (sorted[0] ?? 0);
  return spread <= 0.1 * Math.abs(middle) ? middle : null;
}

/**
 * The factor of a wrong setting that a ratio stands for, or null. Between one half and one a ratio
 * may be the power factor of a motor beside resistive loads, so there only heaters count.
 */
function factorOf(ratio: number, circuit: Circuit): number | null {
  if (ratio > 0.4 && ratio < 1 && circuit.load !== 'resistive') return null;
  const factors = [...FACTORS, 1 / Math.sqrt(3)];
  return factors.find((own) => Math.abs(ratio / own - 1) <= FACTOR_TOLERANCE) ?? null;
}
