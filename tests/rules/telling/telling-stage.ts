/** Alerts that come and go as a test says, through the rules' own alert life, and who is told. */
import type { Finding, Mode, Priority } from '../../../rules/alerts/alert.ts';
import type { Check } from '../../../rules/alerts/check.ts';
import { Ledger } from '../../../rules/alerts/ledger.ts';
import { createTelling } from '../../../rules/index.ts';
import type {
  Act,
  Alert,
  AlertEvent,
  Contact,
  Letter,
  PanelState,
  Telling,
} from '../../../rules/index.ts';

export const ZONE = 'Europe/Amsterdam';
/** 1 June 2026, noon in Amsterdam. */
export const NOON_MS = Date.UTC(2026, 5, 1, 10);
export const MINUTE_MS = 60_000;
export const HOUR_MS = 60 * MINUTE_MS;

export const ann = (more: Partial<Contact> = {}): Contact => ({
  name: 'Ann',
  told: 'first',
  ways: ['mail'],
  priority: 'warning',
  modes: ['aboard', 'away', 'under way'],
  ...more,
});

export const emptyPanel = (more: Partial<PanelState> = {}): PanelState => ({
  boat: 'sable-plover',
  atMs: 0,
  sources: [],
  selectors: [],
  mainSwitches: [],
  buses: [],
  circuits: [],
  batteries: [],
  points: [],
  contradictions: [],
  mode: { name: 'aboard', sinceMs: null, untilMs: null, by: null },
  ...more,
});

export function finding(key: string, priority: Priority, more: Partial<Finding> = {}): Finding {
  return {
    rule: key,
    subject: { part: key },
    priority,
    title: `Title of ${key}`,
    means: `What ${key} means.`,
    doThis: `See to ${key}.`,
    cautions: [],
    evidence: [],
    confidence: 'measured',
    points: [],
    ...more,
  };
}

/** What holds now: key and priority, or the whole finding; the other keys are over. */
export type Holding = Record<string, Priority | Finding>;

/** One boat, her ledger and her telling, a second after a second. */
export class Stage {
  readonly #keys = new Set<string>();
  readonly #contacts: Record<string, Contact>;
  #ledger = new Ledger({}, 0);
  #saved: string;
  telling: Telling;
  nowMs: number;
  mode: Mode = 'aboard';
  panel: PanelState = emptyPanel();
  letters: Letter[] = [];
  withdrawn: string[] = [];
  events: AlertEvent[] = [];
  /** A cause and what it explains. */
  explains: Record<string, string[]> = {};
  isRestartedAlways = false;

  constructor(contacts: Record<string, Contact>, startMs: number = NOON_MS) {
    this.#contacts = contacts;
    this.nowMs = startMs;
    this.telling = this.#open(null);
    this.#saved = JSON.stringify(this.telling.save());
  }

  get open(): Alert[] {
    return this.#ledger.open();
  }

  /** Holds for so long, judged every second; the letters that were written. */
  hold(holding: Holding, forMs: number, everyMs: number = 1000): Letter[] {
    const from = this.letters.length;
    for (const key of Object.keys(holding)) this.#keys.add(key);
    for (const endMs = this.nowMs + forMs; this.nowMs < endMs;) {
      this.nowMs += Math.min(everyMs, endMs - this.nowMs);
      this.#take(this.#ledger.run(this.#checks(holding), this.nowMs, everyMs, this.mode));
    }
    return this.letters.slice(from);
  }

  /** Somebody does something about the alert of a key. */
  act(key: string, act: Act): Letter[] {
    const from = this.letters.length;
    const problem = this.tryAct(key, act);
    if (problem !== null) throw new Error(problem);
    return this.letters.slice(from);
  }

  /** The same, where it may be refused: why it is. */
  tryAct(key: string, act: Act): string | null {
    const alert = this.open.find(({ rule }) => rule === key);
    const done = this.#ledger.act(alert?.id ?? key, act, 'Kim', this.nowMs);
    if ('problem' in done) return done.problem;
    this.#take(done.events);
    return null;
  }

  restart(): void {
    this.telling = this.#open(this.#saved);
  }

  /** What was remembered is gone, or older than the alerts. */
  restartFrom(saved: string | null): void {
    this.telling = this.#open(saved);
  }

  get saved(): string {
    return this.#saved;
  }

  #open(saved: string | null): Telling {
    return createTelling(
      {
        boatName: 'Sable Plover',
        settings: { timeZone: ZONE, contacts: this.#contacts },
        open: () => this.open,
      },
      saved === null ? null : JSON.parse(saved),
    );
  }

  #take(events: readonly AlertEvent[]): void {
    if (this.isRestartedAlways) this.restart();
    this.events.push(...events);
    const { nowMs, mode, panel } = this;
    const told = this.telling.take(events, { nowMs, mode, panel: { ...panel, atMs: nowMs } });
    const saved = JSON.stringify(this.telling.save());
    const isSame = saved === this.#saved;
    if (!told.isChanged && !isSame) throw new Error('changed, and does not say so');
    this.#saved = saved;
    this.letters.push(...told.letters);
    this.withdrawn.push(...told.withdrawn);
  }

  #checks(holding: Holding): Check[] {
    const check = (key: string): Check => {
      const own = holding[key];
      const level = (priority: Priority): Check['levels'][number] => ({
        priority,
        verdict: priorityOf(own) === priority ? 'raise' : 'clear',
        onDelayMs: 0,
      });
      const { [key]: explains } = this.explains;
      return {
        rule: key,
        key,
        levels: [level('emergency alarm'), level('alarm'), level('warning'), level('caution')],
        offDelayMs: 0,
        describe: (priority) => (typeof own === 'object' ? own : finding(key, priority)),
        ...(explains && { explains }),
      };
    };
    return [...this.#keys].map(check);
  }
}

const priorityOf = (own: Priority | Finding | undefined): Priority | undefined =>
  typeof own === 'object' ? own.priority : own;
