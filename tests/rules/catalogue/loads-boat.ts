/** The boat that the rules of circuits are tried on, and a way to play days and weeks on it. */
import { readFileSync } from 'node:fs';
import type { Alert, Mode } from '../../../rules/index.ts';
import { createWatch, formatProblem, readBoat } from '../../../rules/index.ts';
import type { SavedWatch, Watch } from '../../../rules/index.ts';

const text = readFileSync(new URL('../../fixtures/boats/loads.yaml', import.meta.url), 'utf8');
const read = readBoat(text, 'loads.yaml');
if (!read.boat) throw new Error(read.problems.map(formatProblem).join('\n'));
export const LOADS_BOAT = read.boat;

/** Midnight UTC, when a day of the habits begins. */
const START_MS = 19_675 * 86_400_000;
export const DAY_MINUTES = 1440;

/** Value of every named point at a minute since the start; null is silence. */
export type Values = (minute: number) => Record<string, number | null>;

export interface Raised {
  minute: number;
  key: string;
  alert: Alert;
}

const LIVE: Record<string, number> = {
  'inlet-a-volts': 120,
  'inlet-b-volts': 120,
  'generator-a-volts': 0,
  'generator-b-volts': 0,
  'panel-a-volts': 120,
  'panel-b-volts': 120,
  'dc-volts': 12.8,
};

const keyOf = (alert: Alert): string => alert.id.replace(/\.\d+$/, '');

/** Most points of this boat are silent, and that many silences at once are a flood. */
const BESIDE: ReadonlySet<string> = new Set(['sensor-silent', 'alert-flood']);

/** A watch that plays readings minute by minute, or in steps of up to three, and notes every raising but those of silent sensors. */
export class Voyage {
  readonly raised: Raised[] = [];
  minute = 0;
  readonly #stepMinutes: number;
  #watch: Watch = createWatch(LOADS_BOAT);

  constructor(stepMinutes = 1) {
    this.#stepMinutes = stepMinutes;
  }

  /** Plays on until `minute`; points that are not named are silent, but for the supply. */
  until(minute: number, values: Values): this {
    for (; this.minute < minute; this.minute += this.#stepMinutes) {
      const atMs = this.#nowMs;
      for (const [pointId, value] of Object.entries({ ...LIVE, ...values(this.minute) })) {
        if (value !== null) this.#watch.take({ pointId, value, atMs });
      }
      for (const event of this.#watch.evaluate(atMs).alertEvents) {
        if (event.type !== 'raised' || BESIDE.has(event.alert.rule)) continue;
        this.raised.push({ minute: this.minute, key: keyOf(event.alert), alert: event.alert });
      }
    }
    return this;
  }

  /** `key priority` of what is open now, without what is told of silent sensors. */
  get open(): string[] {
    return this.#watch
      .openAlerts()
      .filter((own) => !BESIDE.has(own.rule) && own.phase !== 'returned')
      .map((own) => `${keyOf(own)} ${own.priority}${own.isHeld ? ' held' : ''}`)
      .sort();
  }

  alert(key: string): Alert {
    const own = this.#watch.openAlerts().find((alert) => keyOf(alert) === key);
    if (!own) throw new Error(`${key} is not open`);
    return own;
  }

  get keys(): string[] {
    return this.raised.map((own) => own.key);
  }

  /** Another voyage that goes on from here, as after a restart; so one past serves many tests. */
  copy(stepMinutes = this.#stepMinutes): Voyage {
    const other = new Voyage(stepMinutes);
    other.minute = this.minute;
    other.#watch = createWatch(LOADS_BOAT, this.#saved());
    return other;
  }

  restart(): this {
    this.#watch = createWatch(LOADS_BOAT, this.#saved());
    return this;
  }

  /** What is put away is text. */
  #saved(): SavedWatch {
    const saved: SavedWatch = JSON.parse(JSON.stringify(this.#watch.save(this.#nowMs)));
    return saved;
  }

  /** Says what the boat is about, for so many minutes or without an end. */
  mode(mode: Mode, minutes?: number): this {
    const untilMs = minutes === undefined ? null : this.#nowMs + minutes * 60_000;
    const said = this.#watch.setMode(mode, untilMs, 'the crew', this.#nowMs);
    if ('problem' in said) throw new Error(said.problem);
    return this;
  }

  get #nowMs(): number {
    return START_MS + this.minute * 60_000;
  }
}
