/**
 * Tells the source of a bus by leaving out all others: those that the bus is farther away from, or
 * nearer to, than it has ever been while they fed it. See `distances.ts`.
 */
import type { Point } from '../../boat/boat.ts';
import type { Latest } from '../latest.ts';
import type { Distances } from './distances.ts';
import { PairedMeans } from './paired-means.ts';
import { minutesWords, slowestMs } from './witness.ts';
import type { Setting, Told, Witness } from './witness.ts';

const STRETCH_MS = 20_000;
const LEAST_READINGS = 4;
/** So many means in a row have to lie apart. */
const WINDOW = 3;
/**
 * What may change by itself: voltmeters by this share of the bus's volts, and the way by this many
 * ohms, which a contact that is going bad may add; common practice.
 */
const METERS_RATIO = 0.0075;
const WAY_OHMS = 0.15;

/** Voltmeters of the bus and of each rival leg by leg alike, and the clamps of the bus. */
export interface LevelPoints {
  bus: readonly Point[];
  sources: readonly (readonly Point[])[];
  amps: readonly Point[];
}

export class LevelWitness implements Witness {
  readonly name = 'level';
  readonly isByDistance = true;
  told: Told | null = null;
  readonly #bus: number;
  readonly #setting: Setting;
  readonly #distances: Distances;
  readonly #points: readonly Point[];
  readonly #legs: number;
  readonly #means: PairedMeans;
  readonly #slowestMs: number;
  readonly #firstStretch: number;
  #judged: number;

  /** `bus`: its number in the supply graph. */
  constructor(bus: number, setting: Setting, points: LevelPoints, distances: Distances) {
    this.#bus = bus;
    this.#setting = setting;
    this.#distances = distances;
    this.#points = [...points.bus, ...points.sources.flat(), ...points.amps];
    this.#legs = points.bus.length;
    this.#slowestMs = slowestMs(this.#points);
    const stretchMs = Math.max(STRETCH_MS, LEAST_READINGS * this.#slowestMs);
    const everyMs = this.#points.map((point) => point.expectedEveryMs);
    this.#means = new PairedMeans(stretchMs, everyMs, WINDOW + 8);
    this.#firstStretch = this.#means.stretchAt(setting.sinceMs) + 1;
    this.#judged = this.#firstStretch - 1;
  }

  look(latest: Latest, nowMs: number): void {
    this.#points.forEach((point, row) => {
      if (latest.isStill(point)) return;
      const value = latest.numberAt(point, nowMs);
      const ageMs = latest.ageMs(point, nowMs);
      if (value !== null && ageMs !== null) this.#means.add(row, Math.abs(value), nowMs - ageMs);
    });
    const done = this.#means.stretchAt(nowMs - 2 * this.#slowestMs) - 1;
    if (done <= this.#judged) return;
    this.#judged = done;
    const first = done - WINDOW + 1;
    const left = this.#setting.rivals.filter(
      (_, at) => first < this.#firstStretch || !this.#isOut(at, first, done, nowMs),
    );
    const [only] = left;
    if (left.length !== 1 || !only) {
      this.told = null;
      return;
    }
    const restsFromMs = first * this.#means.stretchMs;
    const sinceMs = this.told?.root === only.root ? this.told.sinceMs : restsFromMs;
    this.told = { root: only.root, sinceMs, restsFromMs };
  }

  reason(nowMs: number): string {
    const others = this.#setting.rivals.filter(({ root }) => root !== this.told?.root);
    const names = others.map(({ label }) => label).join(' and ');
    const time = minutesWords(nowMs - (this.told?.sinceMs ?? nowMs));
    return `For the last ${time} the voltage of ${this.#setting.busLabel} has been another than ever while ${names} fed it.`;
  }

  /** Whether the bus has been at no distance that it could be at if that rival fed it. */
  #isOut(rival: number, first: number, last: number, nowMs: number): boolean {
    const root = this.#setting.rivals[rival]?.root ?? -1;
    const learned = this.#distances.of(this.#bus, root, nowMs);
    if (learned === null) return false;
    for (let stretch = first; stretch <= last; stretch += 1) {
      const volts = this.#mean(0, stretch);
      const distance = volts - this.#mean((rival + 1) * this.#legs, stretch);
      const amps = this.#ampsAt(stretch);
      const free = METERS_RATIO * volts + WAY_OHMS * Math.max(amps, learned.amps);
      if (!(Math.abs(distance - learned.volts) > free)) return false;
    }
    return true;
  }

  /** Over the legs, so that a neutral that has come loose, which lifts one and lowers the other, does not count. */
  #mean(row: number, stretch: number): number {
    let sum = 0;
    for (let leg = 0; leg < this.#legs; leg += 1) {
      sum += this.#means.means(row + leg, stretch, stretch)[0] ?? NaN;
    }
    return sum / this.#legs;
  }

  /** Of the fullest leg. */
  #ampsAt(stretch: number): number {
    const from = (this.#setting.rivals.length + 1) * this.#legs;
    let most = 0;
    for (let row = from; row < this.#points.length; row += 1) {
      most = Math.max(most, this.#means.means(row, stretch, stretch)[0] ?? NaN);
    }
    return most;
  }
}
