/**
 * How far a bus's voltage reads from that of a source while the source is known to feed it. Two
 * voltmeters never agree, but by how much they differ stays what it is: it is learned while the
 * readings alone tell the feed, and tells it later when they do not.
 */

/** What is learned weighs as much as so many looks, ten seconds apart: a quarter of an hour. */
const REMEMBERED_LOOKS = 90;
const LOOK_EVERY_MS = 10_000;
/** Known from so many looks on; what was learned longer ago than this is no longer believed. */
const ENOUGH_LOOKS = 60;
const BELIEVED_MS = 24 * 3_600_000;

export interface Distance {
  /** Volts of the bus above the source, as the mean over its legs. */
  volts: number;
  /** Amperes of the bus's legs on average meanwhile: they cost volts on the way. */
  amps: number;
}

interface Learned extends Distance {
  looks: number;
  lastMs: number;
}

export class Distances {
  readonly #learned = new Map<string, Learned>();

  /** Takes in what is read while `root` is known to feed the bus; more often is not needed. */
  learn(bus: number, root: number, seen: Distance, nowMs: number): void {
    const key = `${bus} ${root}`;
    const own = this.#learned.get(key);
    if (!own || nowMs - own.lastMs > BELIEVED_MS) {
      this.#learned.set(key, { ...seen, looks: 1, lastMs: nowMs });
      return;
    }
    if (nowMs - own.lastMs < LOOK_EVERY_MS) return;
    own.looks = Math.min(REMEMBERED_LOOKS, own.looks + 1);
    own.volts += (seen.volts - own.volts) / own.looks;
    own.amps += (seen.amps - own.amps) / own.looks;
    own.lastMs = nowMs;
  }

  /** Whether it is time to look again. */
  isDue(bus: number, root: number, nowMs: number): boolean {
    return nowMs - (this.#learned.get(`${bus} ${root}`)?.lastMs ?? -Infinity) >= LOOK_EVERY_MS;
  }

  /** What was learned well and lately; null where nothing was. */
  of(bus: number, root: number, nowMs: number): Distance | null {
    const own = this.#learned.get(`${bus} ${root}`);
    if (!own || own.looks < ENOUGH_LOOKS || nowMs - own.lastMs > BELIEVED_MS) return null;
    return own;
  }
}
