/** The ends of problems about keys and values: what to write instead. */
import type * as z from 'zod';
import { NOTHING } from './file-panel.ts';
import { numberHint, scaleHint } from './number-words.ts';
import { nearestName, orList } from './words.ts';
import type { Placed } from './yaml-tree.ts';

type Issue = z.core.$ZodIssue;

export function unknownKeyHint(
  key: string,
  nearest: string | null,
  valid: readonly string[],
): string {
  // `{ amps: 11,8 }` is two keys to YAML.
  if (/^\d+$/.test(key)) return '; a decimal number is written with a point';
  if (nearest !== null) return `; nearest is \`${nearest}\``;
  return `; it may have ${orList(valid.map((name) => `\`${name}\``))}`;
}

/** What to write instead of the value at an issue, or nothing to say. */
export function hintFor(issue: Issue, place: Placed): string {
  const { value } = place;
  if (value === null) return emptyHint(issue, place);
  const key = String(issue.path.findLast((step) => typeof step === 'string'));
  if (issue.code === 'invalid_type' && issue.expected === 'boolean') return booleanHint(value);
  if (issue.code === 'invalid_type' && issue.expected === 'string') return textHint(place);
  if (issue.code === 'invalid_type' && issue.expected === 'array' && typeof value === 'string') {
    return `; write [${value}]`;
  }
  if (typeof value === 'string') return wordHint(issue, key, value);
  if (typeof value === 'number' && issue.code === 'too_big') {
    return scaleHint(key, value, (meant) => meant <= Number(issue.maximum));
  }
  return '';
}

function wordHint(issue: Issue, key: string, found: string): string {
  const valid = 'values' in issue ? issue.values.map(String) : kindsOf(issue);
  const nearest = nearestName(found, valid);
  if (nearest !== null && issue.code !== 'invalid_type') {
    return Number.isFinite(Number(nearest)) ? `; write ${nearest}` : `; nearest is "${nearest}"`;
  }
  const isNumber = issue.code === 'invalid_type' && /^(number|int)$/.test(issue.expected);
  return isNumber || valid.some((word) => /^\d+$/.test(word)) ? numberHint(key, found) : '';
}

function booleanHint(value: unknown): string {
  if (typeof value !== 'string') return '';
  if (/^(yes|y|on|true)$/i.test(value)) return '; write true';
  return /^(no|n|off|false)$/i.test(value) ? '; write false' : '';
}

/** `label: 12` is a number to YAML. */
function textHint({ value, source }: Placed): string {
  return typeof value === 'number' || typeof value === 'boolean'
    ? `; write '${source}' in quotes`
    : '';
}

/** `label: #1 pump` is nothing but a comment, and so is a section of which all is commented out. */
function emptyHint(issue: Issue, { source }: Placed): string {
  if (issue.path.includes('positions')) return `; write ${NOTHING}`;
  if (issue.code !== 'invalid_type' || source === undefined) return '';
  if (issue.expected === 'string') return '; text that begins with # must be in quotes';
  const isMap = issue.expected === 'object' || issue.expected === 'record';
  return isMap ? '; remove the line if there is nothing to say' : '';
}

/** An id near to what was written. */
export function idHint(name: string): string {
  const id = name
    .toLowerCase()
    .replaceAll(/[^a-z0-9]+/g, '-')
    .replaceAll(/^[^a-z]+|-$/g, '');
  return id === '' || id === name || id.length > 60 ? '' : `; write ${id}`;
}

/** The kinds that a source could be, where it is none of them. */
export function kindsOf(issue: Issue): string[] {
  if (issue.code !== 'invalid_union' || issue.errors.length > 0) return [];
  return 'options' in issue && Array.isArray(issue.options) ? issue.options.map(String) : [];
}
