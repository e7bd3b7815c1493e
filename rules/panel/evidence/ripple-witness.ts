/** Tells the source whose voltage a bus's voltage moves with, over the last minutes. */
import type { Point } from '../../boat/boat.ts';
import type { Latest } from '../latest.ts';
import { median } from './correlation.ts';
import { PairedMeans } from './paired-means.ts';
import { followedBy } from './ripple.ts';
import type { Means } from './ripple.ts';
import { minutesWords, slowestMs } from './witness.ts';
import type { Setting, Told, Witness } from './witness.ts';

/** A mean takes in several readings, so that noise averages out and sensors need not speak at once. */
const STRETCH_MS = 8000;
const LEAST_READINGS = 2;
/** More than six minutes: what moves by noise alone has to be told from what moves. */
const WINDOW = 48;
/** A bus keeps its distance from its source within this share of its volts; else it was turned. */
const SHIFT_RATIO = 0.005;
const NEWEST = 3;

export class RippleWitness implements Witness {
  readonly name = 'ripple';
  readonly isByDistance = false;
  told: Told | null = null;
  readonly #setting: Setting;
  /** Points of the bus leg by leg, then those of each rival in the same way. */
  readonly #points: readonly Point[];
  readonly #means: PairedMeans;
  readonly #slowestMs: number;
  /** Stretches that are wholly within the time that counts. */
  #firstStretch: number;
  #judged: number;

  /** `busPoints` and each of `sourcePoints`: voltmeters leg by leg alike. */
  constructor(
    setting: Setting,
    busPoints: readonly Point[],
    sourcePoints: readonly (readonly Point[])[],
  ) {
    this.#setting = setting;
    this.#points = [...busPoints, ...sourcePoints.flat()];
    this.#slowestMs = slowestMs(this.#points);
    const stretchMs = Math.max(STRETCH_MS, LEAST_READINGS * this.#slowestMs);
    const everyMs = this.#points.map((point) => point.expectedEveryMs);
    this.#means = new PairedMeans(stretchMs, everyMs, WINDOW + 8);
    this.#firstStretch = this.#means.stretchAt(setting.sinceMs) + 1;
    this.#judged = this.#firstStretch - 1;
  }

  look(latest: Latest, nowMs: number): void {
    this.#points.forEach((point, row) => {
      const value = latest.numberAt(point, nowMs);
      const ageMs = latest.ageMs(point, nowMs);
      if (value !== null && ageMs !== null) this.#means.add(row, value, nowMs - ageMs);
    });
    // What belongs to a stretch may still be on its way when it ends.
    const done = this.#means.stretchAt(nowMs - 2 * this.#slowestMs) - 1;
    if (done <= this.#judged) return;
    this.#judged = done;
    this.#judge(done);
  }

  reason(nowMs: number): string {
    const source = this.#setting.rivals.find(({ root }) => root === this.told?.root)?.label ?? '';
    const time = minutesWords(nowMs - (this.told?.sinceMs ?? nowMs));
    return `The voltage of ${this.#setting.busLabel} has moved with that of ${source} for the last ${time}, and with that of no other live source.`;
  }

  #judge(last: number): void {
    const legs = this.#setting.legs.length;
    const first = Math.max(this.#firstStretch, last - WINDOW);
    const rows = this.#points.map((_, row) => this.#means.means(row, first, last));
    const bus = rows.slice(0, legs);
    const sources = this.#setting.rivals.map((_, at) =>
      rows.slice((at + 1) * legs, (at + 2) * legs),
    );
    const at = followedBy(bus, sources);
    const before = this.told;
    this.told = null;
    if (at === null) return;
    if (hasShifted(bus, sources[at] ?? [])) {
      this.#firstStretch = last;
      return;
    }
    const root = this.#setting.rivals[at]?.root ?? -1;
    const restsFromMs = first * this.#means.stretchMs;
    const sinceMs = before?.root === root ? before.sinceMs : restsFromMs;
    this.told = { root, sinceMs, restsFromMs };
  }
}

/** Whether the bus has another distance from the source now than it has had for most of the time. */
function hasShifted(bus: readonly Means[], source: readonly Means[]): boolean {
  return bus.some((own, leg) => {
    const apart = own
      .map((volts, at) => volts - (source[leg]?.[at] ?? NaN))
      .filter((volts) => !Number.isNaN(volts));
    const level = median(own.filter((volts) => !Number.isNaN(volts)));
    return Math.abs(median(apart.slice(-NEWEST)) - median(apart)) > SHIFT_RATIO * level;
  });
}
