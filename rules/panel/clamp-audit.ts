/**
 * Do the clamps tell one story? When a single circuit of a bus is switched, its clamp and the
 * bus's own must step alike. A ratio that is off by the same factor again and again is a wrong
 * scale; a step that shows on the other leg is a clamp, or a circuit, on the wrong leg; a load
 * that gives power back has its clamp the wrong way round. Judged only after several steps.
 */
import type { Boat, Bus, Circuit, Point } from '../boat/boat.ts';
import { reversedClamp, wrongLeg, wrongScales } from './clamp-faults.ts';
import { ClampTwins, exchanged } from './clamp-pairs.ts';
import { hasMoved, noteStep } from './clamp-steps.ts';
import type { SavedAudit, WatchedBus } from './clamp-steps.ts';
import type { Latest } from './latest.ts';
import { circuitsOn } from './lookup.ts';
import type { Contradiction } from './panel-state.ts';

/** All clamps of a bus must stand still so long before and after, longer than any inrush. */
const CALM_MS = 8000;
const NEGATIVE_READINGS = 20;
const NEGATIVE_WATTS = 20;

export class ClampAudit {
  readonly #boat: Boat;
  readonly #latest: Latest;
  readonly #buses: WatchedBus[];
  readonly #meters: Point[];
  readonly #twins: ClampTwins;

  constructor(boat: Boat, latest: Latest) {
    this.#boat = boat;
    this.#latest = latest;
    this.#twins = new ClampTwins(boat, latest);
    this.#buses = boat.buses.flatMap((bus) => watchedBus(boat, latest, bus));
    this.#meters = boat.circuits
      .filter((circuit) => circuit.load !== 'charger')
      .flatMap((circuit) => meterOf(latest, circuit));
  }

  /** Takes in the newest readings; `audit` is changed. Once an evaluation. */
  note(audit: SavedAudit, nowMs: number): void {
    for (const watched of this.#buses) this.#noteBus(audit, watched, nowMs);
    for (const point of this.#meters) this.#noteMeter(audit, point, nowMs);
    this.#twins.note(nowMs);
  }

  /** What several steps have shown to be wrong. */
  contradictions(audit: SavedAudit): Contradiction[] {
    const found: Contradiction[] = [];
    for (const point of this.#meters) {
      const run = audit.negative[point.id];
      if (run && run.count >= NEGATIVE_READINGS) found.push(reversedClamp(this.#boat, point));
    }
    for (const watched of this.#buses) {
      for (const { leg, point } of watched.feeders) {
        found.push(...wrongScales(this.#boat, audit, watched, leg, point));
      }
      found.push(...this.#onOtherLegs(audit, watched));
    }
    return [...found, ...this.#twins.contradictions()];
  }

  /** Clamps on the wrong leg; of two that tell each other's leg it is known why. */
  #onOtherLegs(audit: SavedAudit, watched: WatchedBus): Contradiction[] {
    const wrong = watched.circuits.flatMap((own) =>
      wrongLeg(this.#boat, audit, watched, own).map((told) => ({ own, told })),
    );
    const both = exchanged(
      this.#boat,
      wrong.map(({ own, told }) => ({
        circuit: own.circuit,
        point: own.point,
        because: told.because.join(' '),
      })),
    );
    return both ? [both] : wrong.map(({ told }) => told);
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
}

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
