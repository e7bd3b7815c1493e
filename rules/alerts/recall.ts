/**
 * Alerts that the record holds open and a ledger knows nothing of, or not as they stand: what the
 * rules remember was lost, or is older than the record.
 */
import type { Alert } from './alert.ts';
import type { TimedLevel, Timing } from './timing.ts';
import { NEVER } from './timing.ts';

export interface Lost {
  /** To be taken up, by the key of their check. */
  found: [key: string, alert: Alert][];
  /** To be ended: of two open alerts of one key only the newer can go on. */
  doubled: Alert[];
  /** Keys of what the ledger holds and a newer record does not: over already. */
  gone: string[];
}

/** `isBehind`: the record has events that the ledger has never seen. */
export function lostFrom(
  known: ReadonlyMap<string, Alert>,
  recorded: readonly Alert[],
  isBehind: boolean,
): Lost {
  const newest = new Map<string, Alert>();
  const doubled: Alert[] = [];
  for (const alert of recorded) {
    const key = keyOfId(alert.id);
    const other = newest.get(key);
    if (!other) newest.set(key, alert);
    else if (numberOf(other) < numberOf(alert)) {
      doubled.push(other);
      newest.set(key, alert);
    } else doubled.push(alert);
  }
  const found: Lost['found'] = [];
  for (const [key, alert] of newest) {
    const own = known.get(key);
    if (!own || (isBehind && !isSameLife(own, alert))) found.push([key, alert]);
    else if (own.id !== alert.id) doubled.push(alert);
  }
  const gone = isBehind ? [...known.keys()].filter((key) => !newest.has(key)) : [];
  return { found, doubled, gone };
}

/** The timing of an alert that stands, where none was kept: met at its priority. */
export function metTiming(levels: readonly TimedLevel[], alert: Alert): Timing {
  const at = levels.findIndex(({ priority }) => priority === alert.priority);
  const met = { sinceMs: alert.sinceMs, heldMs: 0, gapMs: null, isMet: true };
  // Where the rule has no such priority any more, its mildest level goes on.
  return levels.map((_, i) => (i === (at < 0 ? levels.length - 1 : at) ? met : NEVER));
}

/** The key of the check that an alert is of. */
export const keyOfId = (id: string): string => id.replace(/\.\d+$/, '');

const numberOf = ({ id }: Alert): number => Number(/\d+$/.exec(id)?.[0] ?? 0);

/** What events make of an alert; its words and numbers change without one. */
function isSameLife(a: Alert, b: Alert): boolean {
  const life = ({ id, phase, priority, acknowledgedAtMs, shelved, outOfService }: Alert): string =>
    JSON.stringify([id, phase, priority, acknowledgedAtMs, shelved?.atMs, outOfService?.atMs]);
  return life(a) === life(b);
}
