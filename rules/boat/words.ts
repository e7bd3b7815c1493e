/** How problems speak: what was found, lists of names, the nearest valid name. */
import { distance } from 'fastest-levenshtein';

const LONGEST_SHOWN = 60;
const MOST_NAMES = 8;

/** A value as a problem shows it: text in quotes, `no value` for null, only the shape of maps and lists. */
export function shown(value: unknown): string {
  if (typeof value === 'string') {
    return JSON.stringify(
      value.length > LONGEST_SHOWN ? `${value.slice(0, LONGEST_SHOWN)}…` : value,
    );
  }
  if (value === null || value === undefined) return 'no value';
  if (Array.isArray(value)) return 'a list';
  return typeof value === 'number' || typeof value === 'boolean' ? String(value) : 'a map';
}

/** `a, b or c` */
export function orList(words: readonly string[]): string {
  if (words.length < 2) return words.join('');
  return `${words.slice(0, -1).join(', ')} or ${words.at(-1)}`;
}

/** `"a", "b" or "c"` */
export function quotedOrList(words: readonly string[]): string {
  return orList(words.map((word) => JSON.stringify(word)));
}

/**
 * The candidate that a person most likely meant, or null when none is near: at most two slips, or
 * four in ten letters of a longer word. Capitals, spaces, hyphens and underscores count for nothing.
 */
export function nearestName(found: string, candidates: Iterable<string>): string | null {
  const wanted = bare(found);
  if (wanted.length > 2 * LONGEST_SHOWN) return null;
  let nearest: string | null = null;
  let fewest = Math.max(2, Math.floor(found.length * 0.4)) + 1;
  for (const candidate of candidates) {
    if (Math.abs(candidate.length - found.length) > fewest + 2) continue;
    const slips = distance(wanted, bare(candidate));
    if (slips < fewest && slips < candidate.length) {
      nearest = candidate;
      fewest = slips;
    }
  }
  return nearest;
}

function bare(name: string): string {
  return name.toLowerCase().replaceAll(/[\s_-]/g, '');
}

/** The end of a problem about a wrong name: the nearest valid one, else the valid ones if few. */
export function nearestHint(found: string, candidates: readonly string[], what: string): string {
  const nearest = nearestName(found, candidates);
  if (nearest !== null) return `; nearest is ${JSON.stringify(nearest)}`;
  if (candidates.length === 0) return `; there is no ${what} in this file`;
  const names = candidates.slice(0, MOST_NAMES).map((name) => JSON.stringify(name));
  const more = candidates.length > MOST_NAMES ? ` and ${candidates.length - MOST_NAMES} more` : '';
  return `; there is ${names.join(', ')}${more}`;
}
