/** Days of two pumps, played through the watch in coarse steps: every run is three readings. */
import { readFileSync } from 'node:fs';
import { readBoat } from '../../../rules/index.ts';
import type { Alert, Boat } from '../../../rules/index.ts';
import { createWatch } from '../../../rules/watch.ts';
import type { SavedWatch, Watch } from '../../../rules/watch.ts';

export const MINUTE_MS = 60_000;
export const HOUR_MS = 60 * MINUTE_MS;
export const DAY_MS = 24 * HOUR_MS;

/** A midnight UTC. */
export const START_MS = 1_700_006_400_000;

const file = new URL('../../fixtures/boats/pumps.yaml', import.meta.url);

/** The boat for rehearsals of pumps, with sensors that speak once in ten minutes. */
function slowBoat(): Boat {
  const text = readFileSync(file, 'utf8').replaceAll('everySeconds: 1 ', 'everySeconds: 600 ');
  const { boat, problems } = readBoat(text, 'pumps.yaml');
  if (!boat) throw new Error(problems.map((own) => own.message).join('\n'));
  return boat;
}

export interface Run {
  startMs: number;
  lastsMs: number;
  amps: number;
  /** Goes on without a pause, with another current. */
  goesOn?: Run;
}

const BOAT = slowBoat();

export class PumpDays {
  watch: Watch = createWatch(BOAT);
  nowMs = START_MS;
  /** Every key that was raised, with the instant. */
  readonly raised: { key: string; priority: string; atMs: number }[] = [];

  /** Goes on to `untilMs`; the bilge pump makes these runs, in order of time. */
  play(untilMs: number, runs: readonly Run[], freshAmps = 0): void {
    let next = 0;
    while (this.nowMs < untilMs) {
      const run = runs[next];
      if (run && run.startMs <= this.nowMs) {
        this.#run(run, freshAmps);
        next += 1;
      } else {
        this.nowMs = Math.min(untilMs, this.nowMs + 10 * MINUTE_MS, run?.startMs ?? Infinity);
        if (this.nowMs !== run?.startMs) this.#read(0, freshAmps);
      }
    }
  }

  /** With what was saved, or with these memories of rules in its place. */
  restart(rules?: Record<string, unknown>): void {
    const saved = JSON.parse(JSON.stringify(this.watch.save(this.nowMs))) as SavedWatch;
    this.watch = createWatch(BOAT, rules === undefined ? saved : { ...saved, rules });
  }

  open(rule: string): Alert | undefined {
    return this.watch.openAlerts().find((alert) => alert.rule === rule);
  }

  #run(run: Run, freshAmps: number): void {
    this.#read(run.amps, freshAmps);
    this.nowMs += run.lastsMs / 2;
    this.#read(run.amps, freshAmps);
    this.nowMs += run.lastsMs / 2;
    if (run.goesOn === undefined) this.#read(0, freshAmps);
    else this.#run(run.goesOn, freshAmps);
  }

  #read(bilge: number, fresh: number): void {
    const atMs = this.nowMs;
    this.watch.take({ pointId: 'bilge-amps', value: bilge, atMs });
    this.watch.take({ pointId: 'fresh-amps', value: fresh, atMs });
    for (const { type, alertId, alert } of this.watch.evaluate(atMs).alertEvents) {
      if (type !== 'raised' && type !== 'priority changed') continue;
      this.raised.push({ key: alertId.replace(/\.\d+$/, ''), priority: alert.priority, atMs });
    }
  }
}

/** Runs of 20 s at 6 A that begin at these instants. */
export const runsAt = (instants: readonly number[], amps = 6): Run[] =>
  instants.map((startMs) => ({ startMs, lastsMs: 20_000, amps }));

/** Instants every `everyMs` from `fromMs` on. */
export function every(everyMs: number, fromMs: number, toMs: number): number[] {
  const instants: number[] = [];
  for (let atMs = fromMs; atMs < toMs; atMs += everyMs) instants.push(atMs);
  return instants;
}
