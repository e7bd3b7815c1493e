/**
 * Tells the source that has the frequency of a bus, where both are measured: a generator's engine
 * slows down with load and hunts, a dock stands firm, and 50 Hz are not 60. Frequency is the same
 * everywhere behind one source, whatever its load, so no more than two meters' error may lie
 * between it and the bus.
 */
import type { Point } from '../../boat/boat.ts';
import type { Latest } from '../latest.ts';
import { PairedMeans } from './paired-means.ts';
import { minutesWords, slowestMs } from './witness.ts';
import type { Setting, Told, Witness } from './witness.ts';

const STRETCH_MS = 8000;
/** So many means in a row have to agree. */
const WINDOW = 8;
/** What two meters may differ by at one source, and what another source must be away; common practice. */
const SAME_HERTZ = 0.04;
const OTHER_HERTZ = 0.2;

export class HertzWitness implements Witness {
  readonly name = 'frequency';
  readonly isByDistance = false;
  told: Told | null = null;
  readonly #setting: Setting;
  /** Of the bus, then of each rival. */
  readonly #points: readonly Point[];
  readonly #means: PairedMeans;
  readonly #slowestMs: number;
  readonly #firstStretch: number;
  #judged: number;

  constructor(setting: Setting, busPoint: Point, sourcePoints: readonly Point[]) {
    this.#setting = setting;
    this.#points = [busPoint, ...sourcePoints];
    this.#slowestMs = slowestMs(this.#points);
    const everyMs = this.#points.map((point) => point.expectedEveryMs);
    this.#means = new PairedMeans(Math.max(STRETCH_MS, this.#slowestMs), everyMs, WINDOW + 8);
    this.#firstStretch = this.#means.stretchAt(setting.sinceMs) + 1;
    this.#judged = this.#firstStretch - 1;
  }

  look(latest: Latest, nowMs: number): void {
    this.#points.forEach((point, row) => {
      const value = latest.numberAt(point, nowMs);
      const ageMs = latest.ageMs(point, nowMs);
      if (value !== null && ageMs !== null) this.#means.add(row, value, nowMs - ageMs);
    });
    const done = this.#means.stretchAt(nowMs - 2 * this.#slowestMs) - 1;
    if (done <= this.#judged) return;
    this.#judged = done;
    const at = this.#alike(done - WINDOW + 1, done);
    const root = at === null ? -1 : (this.#setting.rivals[at]?.root ?? -1);
    const restsFromMs = (done - WINDOW + 1) * this.#means.stretchMs;
    const sinceMs = this.told?.root === root ? this.told.sinceMs : restsFromMs;
    this.told = at === null ? null : { root, sinceMs, restsFromMs };
  }

  reason(nowMs: number): string {
    const source = this.#setting.rivals.find(({ root }) => root === this.told?.root)?.label ?? '';
    const time = minutesWords(nowMs - (this.told?.sinceMs ?? nowMs));
    return `The frequency of ${this.#setting.busLabel} has been that of ${source} for the last ${time}, and that of no other live source.`;
  }

  /** The one rival that has had the bus's frequency all the time, while all others were far off. */
  #alike(first: number, last: number): number | null {
    if (first < this.#firstStretch) return null;
    const bus = this.#means.means(0, first, last);
    const apart = this.#setting.rivals.map((_, at) =>
      this.#means.means(at + 1, first, last).map((hertz, i) => Math.abs(hertz - (bus[i] ?? NaN))),
    );
    const alike = apart.findIndex((own) => own.every((hertz) => hertz <= SAME_HERTZ));
    const areOthersOff = apart.every(
      (own, at) => at === alike || own.every((hertz) => hertz >= OTHER_HERTZ),
    );
    return alike >= 0 && areOthersOff ? alike : null;
  }
}
