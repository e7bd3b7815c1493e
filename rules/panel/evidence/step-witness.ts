/** Tells the source whose current steps whenever that of a bus does, and no other source's. */
import type { Point } from '../../boat/boat.ts';
import type { Latest } from '../latest.ts';
import { LOOKS, steppedWith } from './level-steps.ts';
import { slowestMs } from './witness.ts';
import type { Setting, Told, Witness } from './witness.ts';

/** So many steps that agree, without one that does not, are no chance. */
const ENOUGH = 3;

/** Clamps of one leg: those of the bus, whose sum counts, and one for each rival. */
export interface LegClamps {
  bus: readonly Point[];
  sources: readonly Point[];
}

/** Amperes of the leg at the last looks, the bus first. */
type Rows = number[][];

export class StepWitness implements Witness {
  readonly name = 'steps';
  readonly isByDistance = false;
  readonly #setting: Setting;
  readonly #legs: readonly LegClamps[];
  readonly #rows: readonly Rows[];
  readonly #everyMs: number;
  #lookedMs = -Infinity;
  /** One step is seen again and again until it has left the looks. */
  #lookAgainAfter = 0;
  #told: Told | null = null;
  #count = 0;

  constructor(setting: Setting, legs: readonly LegClamps[]) {
    this.#setting = setting;
    this.#legs = legs;
    this.#rows = legs.map(({ sources }) => [[], ...sources.map(() => [])]);
    this.#everyMs = slowestMs(legs.flatMap(({ bus, sources }) => [...bus, ...sources]));
  }

  get told(): Told | null {
    return this.#count >= ENOUGH ? this.#told : null;
  }

  /** The source that the steps so far agree on, be they enough or not. */
  get leaning(): number | null {
    return this.#told?.root ?? null;
  }

  look(latest: Latest, nowMs: number): void {
    if (nowMs - this.#lookedMs < this.#everyMs) return;
    this.#lookedMs = nowMs;
    this.#lookAgainAfter -= 1;
    this.#legs.forEach(({ bus, sources }, leg) => {
      const amps = (point: Point): number => Math.abs(latest.numberAt(point, nowMs) ?? NaN);
      const rows = this.#rows[leg] ?? [];
      const now = [bus.reduce((sum, point) => sum + amps(point), 0), ...sources.map(amps)];
      now.forEach((value, row) => {
        const own = rows[row];
        own?.push(value);
        if (own && own.length > LOOKS) own.shift();
      });
      if (this.#lookAgainAfter <= 0) this.#judge(rows, nowMs);
    });
  }

  reason(): string {
    const source = this.#setting.rivals.find(({ root }) => root === this.told?.root)?.label ?? '';
    const times = this.#count > 20 ? 'More than 20' : String(this.#count);
    return `${times} times the current of ${this.#setting.busLabel} has stepped and that of ${source} by as much in the same moment, and never that of another live source.`;
  }

  /** Forgets the steps so far. */
  forget(): void {
    this.#told = null;
    this.#count = 0;
  }

  #judge([bus = [], ...sources]: Rows, nowMs: number): void {
    const stepped = steppedWith(bus, sources);
    if (typeof stepped === 'string') return;
    const root = this.#setting.rivals[stepped.source]?.root ?? -1;
    this.#lookAgainAfter = LOOKS;
    if (this.#told?.root !== root) {
      this.#told = { root, sinceMs: nowMs, restsFromMs: nowMs };
      this.#count = 0;
    }
    this.#count += 1;
  }
}
