/** How many alerts came in the last week: for the morning line and the weekly summary. */
import type { AlertEvent, Priority } from '../alerts/alert.ts';
import { PRIORITIES } from '../alerts/alert.ts';
import { isAtLeast } from './urgency.ts';

const HOUR_MS = 3_600_000;
export const WEEK_MS = 7 * 24 * HOUR_MS;
/** Of those with a title of their own in the summary. */
const MOST_TITLES = 40;

interface Come {
  atMs: number;
  priority: Priority;
  title: string;
}

/** Plain JSON. */
export interface SavedTally {
  /** Alerts that came, by hour since 1970 and in the order of `PRIORITIES`. */
  hours: Record<string, number[]>;
  /** The last warnings and worse. */
  comes: Come[];
}

export class Tally {
  #hours: Map<number, number[]>;
  #comes: Come[];

  constructor(saved: SavedTally = { hours: {}, comes: [] }) {
    this.#hours = new Map(Object.entries(saved.hours).map(([hour, own]) => [Number(hour), own]));
    this.#comes = [...saved.comes];
  }

  note({ type, atMs, alert }: AlertEvent): void {
    if (type !== 'raised') return;
    const hour = Math.floor(atMs / HOUR_MS);
    const counts = this.#hours.get(hour) ?? PRIORITIES.map(() => 0);
    const at = PRIORITIES.indexOf(alert.priority);
    this.#hours.set(hour, counts.with(at, (counts[at] ?? 0) + 1));
    const { priority, title } = alert;
    if (isAtLeast(priority, 'warning')) {
      this.#comes = [...this.#comes, { atMs, priority, title }].slice(-MOST_TITLES);
    }
    for (const old of this.#hours.keys()) if (hour - old > 8 * 24) this.#hours.delete(old);
  }

  /** How many of each priority came in whole hours since `fromMs`. */
  since(fromMs: number): Record<Priority, number> {
    const sums = { 'emergency alarm': 0, alarm: 0, warning: 0, caution: 0 };
    for (const [hour, counts] of this.#hours) {
      if ((hour + 1) * HOUR_MS <= fromMs) continue;
      for (const [at, priority] of PRIORITIES.entries()) sums[priority] += counts[at] ?? 0;
    }
    return sums;
  }

  /** Warnings and worse since then, the newest last. */
  comesSince(fromMs: number): readonly Come[] {
    return this.#comes.filter(({ atMs }) => atMs >= fromMs);
  }

  save(): SavedTally {
    return { hours: Object.fromEntries(this.#hours), comes: this.#comes };
  }
}
