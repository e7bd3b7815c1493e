/** Alerts of a replay beside those that were recorded: what came both times, and what only once. */
import type { AlertEvent, Priority } from '../alerts/alert.ts';

/** One alert from raised to over. */
export interface Told {
  /** Rule and subject: the alert's id without its number. */
  key: string;
  priority: Priority;
  title: string;
  raisedAtMs: number;
  /** Null: it still stood at the end. */
  returnedAtMs: number | null;
}

export interface Pair {
  key: string;
  /** Null: it did not come. */
  recorded: Told | null;
  /** Null: it would not come. */
  replayed: Told | null;
}

/** Two alerts of one key are the same one if they were raised no further apart than this. */
const SAME_MS = 300_000;

/** From alert events in order; an alert that was raised before the first of them is not in it. */
export function toldOf(events: readonly AlertEvent[]): Told[] {
  const open = new Map<string, Told>();
  const all: Told[] = [];
  for (const { alertId, type, atMs, alert } of events) {
    if (type === 'raised') {
      const key = alertId.replace(/\.\d+$/, '');
      const { priority, title } = alert;
      const told: Told = { key, priority, title, raisedAtMs: atMs, returnedAtMs: null };
      open.set(alertId, told);
      all.push(told);
    }
    const own = open.get(alertId);
    if (!own) continue;
    own.priority = alert.priority;
    own.title = alert.title;
    if (type === 'returned' || type === 'closed' || type === 'folded') own.returnedAtMs ??= atMs;
  }
  return all;
}

/** Pairs them by key and time, each at most once; in order of time. */
export function compareAlerts(recorded: readonly Told[], replayed: readonly Told[]): Pair[] {
  const left = new Set(replayed);
  const pairs: Pair[] = recorded.map((own) => {
    const same = nearest(own, left);
    if (same) left.delete(same);
    return { key: own.key, recorded: own, replayed: same };
  });
  for (const own of left) pairs.push({ key: own.key, recorded: null, replayed: own });
  return pairs.sort((a, b) => raisedAt(a) - raisedAt(b));
}

function nearest(own: Told, among: ReadonlySet<Told>): Told | null {
  let found: Told | null = null;
  const distance = (other: Told): number => Math.abs(other.raisedAtMs - own.raisedAtMs);
  for (const other of among) {
    if (other.key !== own.key || distance(other) > SAME_MS) continue;
    if (found === null || distance(other) < distance(found)) found = other;
  }
  return found;
}

const raisedAt = ({ recorded, replayed }: Pair): number => (recorded ?? replayed)?.raisedAtMs ?? 0;
