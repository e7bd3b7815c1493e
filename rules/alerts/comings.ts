/**
 * When alerts were raised, to notice what no single alert can know: that one comes and goes
 * (chattering), and that many come at once (a flood).
 */
import type { Alert, Finding, Priority, Symptom } from './alert.ts';
import type { Check, Verdict } from './check.ts';
import {
  CHATTER_TIMES,
  CHATTER_WINDOW_MS,
  FLOOD_ABOVE,
  FLOOD_ENDS_BELOW,
  FLOOD_WINDOW_MS,
} from './life-times.ts';

/** A new alert. */
interface Coming extends Symptom {
  atMs: number;
  priority: Priority;
}

/** Plain JSON, kept over a restart. */
export interface SavedComings {
  /** Instants at which the alert of a key was raised, old ones forgotten. */
  times: Record<string, number[]>;
  recent: Coming[];
}

/** Key and rule of the notice of many alerts at once. */
export const FLOOD_KEY = 'alert-flood';

export class Comings {
  readonly #times: Map<string, number[]>;
  #recent: Coming[];

  constructor(saved?: SavedComings) {
    this.#times = new Map(Object.entries(saved?.times ?? {}));
    this.#recent = [...(saved?.recent ?? [])];
  }

  /** Notes that an alert was raised. Returns how often it has come, if that is often enough to chatter. */
  note(key: string, alert: Alert, isNew: boolean, nowMs: number): number | null {
    if (key === FLOOD_KEY) return null;
    const times = (this.#times.get(key) ?? []).filter((own) => nowMs - own < CHATTER_WINDOW_MS);
    times.push(nowMs);
    this.#times.set(key, times);
    const { title, priority } = alert;
    if (isNew) this.#recent.push({ key, title, priority, atMs: nowMs });
    return times.length >= CHATTER_TIMES ? times.length : null;
  }

  /** Quiet at last: it is counted from the beginning. */
  forget(key: string): void {
    this.#times.delete(key);
  }

  forgetOld(nowMs: number): void {
    if (this.#recent.length > 0) {
      this.#recent = this.#recent.filter(({ atMs }) => nowMs - atMs < FLOOD_WINDOW_MS);
    }
    for (const [key, times] of this.#times) {
      if (nowMs - (times.at(-1) ?? 0) >= CHATTER_WINDOW_MS) this.#times.delete(key);
    }
  }

  /** New alerts of the last ten minutes, oldest first. */
  get recent(): readonly Symptom[] {
    return this.#recent.map(({ key, title }) => ({ key, title }));
  }

  /** Whether many come at once. Most urgent first in its words, for that is where to begin. */
  floodCheck(): Check {
    const count = this.#recent.length;
    const verdict: Verdict =
      count > FLOOD_ABOVE ? 'raise' : count < FLOOD_ENDS_BELOW ? 'clear' : 'hold';
    return {
      rule: FLOOD_KEY,
      key: FLOOD_KEY,
      levels: [{ priority: 'warning', verdict, onDelayMs: 0 }],
      offDelayMs: 0,
      describe: (priority) => floodFinding(priority, this.#recent),
    };
  }

  save(): SavedComings {
    return { times: Object.fromEntries(this.#times), recent: this.#recent };
  }
}

function floodFinding(priority: Priority, recent: readonly Coming[]): Finding {
  const minutes = FLOOD_WINDOW_MS / 60_000;
  const [first] = recent;
  return {
    rule: FLOOD_KEY,
    subject: { part: '' },
    priority,
    title: `More than ${FLOOD_ABOVE} alerts came within ${minutes} minutes`,
    means:
      'So much at once mostly has one cause: a supply or a bus that failed, or sensors that lost ' +
      `their connection. They are listed here. The first was: ${first?.title ?? 'not known'}.`,
    doThis: 'Begin with the most urgent ones and with the first; the others may follow from it.',
    cautions: [],
    evidence: [
      {
        what: `New alerts within ${minutes} minutes`,
        value: recent.length,
        threshold: FLOOD_ABOVE,
        unit: '',
      },
    ],
    confidence: 'measured',
    points: [],
  };
}
