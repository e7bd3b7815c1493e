/** What goes next by one way: a letter, or one digest in place of many. Pure. */
import { PRIORITIES } from '../../rules/index.ts';
import type { Letter, Priority } from '../../rules/index.ts';
import type { WaitingLetter } from '../store/store.ts';

export type Pick =
  | { what: 'letter'; one: WaitingLetter }
  /** All of one contact and way, in the order in which they were written. */
  | { what: 'digest'; of: readonly WaitingLetter[] }
  /** Out of date, and nobody misses them. */
  | { what: 'stale'; of: readonly WaitingLetter[] };

/** So long must the oldest have waited for a digest. */
const OUTAGE_MS = 15 * 60_000;

export const rankOf = (priority: Priority): number => PRIORITIES.indexOf(priority);
export const isUrgent = ({ priority }: Letter): boolean => rankOf(priority) <= 1;

/** `waiting`: of one way, in the order in which they were written. Null: nothing is due. */
export function pick(waiting: readonly WaitingLetter[], nowMs: number): Pick | null {
  const due = waiting.filter(({ letter }) => letter.dueAtMs <= nowMs);
  const picks = [...groupedBy(due, ({ letter }) => letter.contact).values()].flatMap(
    (group) => pickOf(group, nowMs) ?? [],
  );
  return picks.sort((a, b) => rankOfPick(a) - rankOfPick(b))[0] ?? null;
}

function pickOf(group: readonly WaitingLetter[], nowMs: number): Pick | null {
  const stale = group.filter(({ letter }) => isStale(letter, nowMs));
  if (stale.length > 0 && stale.every(({ letter }) => letter.about.length === 0)) {
    return { what: 'stale', of: stale };
  }
  const oldestMs = Math.min(...group.map(({ letter }) => letter.dueAtMs));
  const isOutage = group.length >= 2 && nowMs - oldestMs > OUTAGE_MS;
  if (isOutage || stale.length > 0) return { what: 'digest', of: group };
  return single(group, nowMs);
}

const isStale = (letter: Letter, nowMs: number): boolean => letter.expiresAtMs <= nowMs;

/** The first letter of each alert is before the second; of several alerts the most urgent goes first. */
function single(group: readonly WaitingLetter[], nowMs: number): Pick | null {
  const queues = groupedBy(group, ({ letter }) => letter.alertId ?? letter.key);
  const ready = [...queues.values()].filter(([head]) => head && head.nextTryAtMs <= nowMs);
  const [first] = ready.sort((a, b) => rankOfQueue(a) - rankOfQueue(b));
  return first?.[0] === undefined ? null : { what: 'letter', one: first[0] };
}

function rankOfQueue(queue: readonly WaitingLetter[]): number {
  return Math.min(...queue.map(({ letter }) => rankOf(letter.priority)));
}

function rankOfPick(picked: Pick): number {
  if (picked.what === 'stale') return -1;
  return rankOfQueue(picked.what === 'letter' ? [picked.one] : picked.of);
}

function groupedBy<Each>(all: readonly Each[], keyOf: (one: Each) => string): Map<string, Each[]> {
  const groups = new Map<string, Each[]>();
  for (const one of all) {
    const key = keyOf(one);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [one]);
    else group.push(one);
  }
  return groups;
}
