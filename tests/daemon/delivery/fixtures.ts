/** Letters, a worker over a real store, and ways whose other end is scripted. */
import type { ManualClock } from '../../../daemon/clock.ts';
import type { Outcome, Way } from '../../../daemon/delivery/way.ts';
import { later } from '../../../daemon/delivery/way.ts';
import { Worker } from '../../../daemon/delivery/worker.ts';
import type { Store } from '../../../daemon/store/store.ts';
import { digestOf } from '../../../rules/index.ts';
import type { Letter } from '../../../rules/index.ts';
import { openedStore, START_MS } from '../store/fixtures.ts';

export { START_MS } from '../store/fixtures.ts';

export const HOUR_MS = 3_600_000;
export const NOTHING = { alertEvents: [], panelEvents: [] };

export function letterWith(key: string, change: Partial<Letter> = {}): Letter {
  const { alertId = `overload.${key}`, priority = 'alarm', writtenAtMs = START_MS } = change;
  const title = `Feeder ${key} carries more than its rating`;
  return {
    key,
    kind: 'alert',
    contact: 'wren',
    way: 'mail',
    priority,
    alertId,
    about:
      alertId === null ? [] : [{ alertId, priority, title, sinceMs: writtenAtMs, overAtMs: null }],
    boat: 'Sandpiper',
    headline: `Sandpiper: ${title}`,
    text: 'The breaker may trip in minutes.\nSwitch off a large load.',
    writtenAtMs,
    dueAtMs: writtenAtMs,
    expiresAtMs: writtenAtMs + 72 * HOUR_MS,
    ...change,
  };
}

/** A way whose other end says what `script` says; `null` hangs until it is given up. */
export class ScriptedWay implements Way {
  readonly kind = 'scripted';
  readonly id: string;
  readonly sent: Letter[] = [];
  tries = 0;
  script: (letter: Letter) => Outcome | null = () => ({ answer: 'taken' });

  constructor(id: string) {
    this.id = id;
  }

  send(letter: Letter): Promise<Outcome> {
    this.tries += 1;
    const outcome = this.script(letter);
    if (outcome === null) return new Promise(() => {});
    if ('answer' in outcome) this.sent.push(letter);
    return Promise.resolve(outcome);
  }

  get keys(): string[] {
    return this.sent.map(({ key }) => key);
  }
}

export const down = (): Outcome => later('the network is unreachable');

export interface Office {
  worker: Worker;
  store: Store;
  clock: ManualClock;
  folder: string;
  /** Lets the daemon's time pass in steps of a second, or of `stepMs`, with what is sent meanwhile. */
  pass(ms: number, stepMs?: number): Promise<void>;
}

export function office(
  ways: readonly Way[],
  given: { folder?: string; random?: () => number; startMs?: number } = {},
): Office {
  const { store, clock, folder } = openedStore(given.folder);
  if (given.startMs !== undefined) clock.advanceTo(given.startMs);
  const worker = new Worker({
    ways,
    store,
    clock,
    random: given.random ?? (() => 0.5),
    digestOf: (letters, nowMs) => digestOf(letters, nowMs, 'UTC'),
    log: () => {},
  });
  worker.start();
  const pass = async (ms: number, stepMs = 1000): Promise<void> => {
    const endMs = clock.nowMs() + ms;
    while (clock.nowMs() < endMs) {
      clock.advanceTo(Math.min(endMs, clock.nowMs() + stepMs));
      await settled();
    }
  };
  return { worker, store, clock, folder, pass };
}

/** Whatever needs no more than promises is done. */
export function settled(): Promise<void> {
  return new Promise((resolve) => {
    setImmediate(resolve);
  });
}
