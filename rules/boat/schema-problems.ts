/**
 * From the schema's issues to problems in the words of the trade, and to the draft: the file
 * without everything that has an issue.
 */
import type * as z from 'zod';
import { placeOf } from './draft.ts';
import type { Path, Say } from './draft.ts';
import { isRecord } from './records.ts';
import { hintFor, idHint, kindsOf, unknownKeyHint } from './schema-hints.ts';
import { keysAt } from './schema-keys.ts';
import { nearestName, shown } from './words.ts';
import type { Placed } from './yaml-tree.ts';

type Issue = z.core.$ZodIssue;

/** Says every issue at its place, and cuts what has one out of the values of `root`. */
export function sayIssues(
  issues: readonly Issue[],
  schema: z.core.$ZodType,
  root: Placed,
  say: Say,
): void {
  const misspelt = sayUnknownKeys(issues, schema, root, say);
  for (const issue of issues) {
    if (issue.code !== 'unrecognized_keys') sayIssue(issue, root, say, misspelt);
  }
  for (const issue of issues) cut(root.value, issue);
}

/** Returns the paths of missing keys that a misspelt one explains: these are not said again. */
function sayUnknownKeys(
  issues: readonly Issue[],
  schema: z.core.$ZodType,
  root: Placed,
  say: Say,
): Set<string> {
  const misspelt = new Set<string>();
  for (const issue of issues) {
    if (issue.code !== 'unrecognized_keys') continue;
    const valid = keysAt(schema, issue.path, root.value);
    const present = placeOf(root, issue.path).place.children;
    for (const key of issue.keys) {
      const nearest = nearestName(key, valid);
      const hint = unknownKeyHint(key, nearest, valid);
      say.errorAtKey(
        [...issue.path, key],
        `\`${key}\` is no key of ${ownerWords(issue.path)}${hint}`,
      );
      if (nearest !== null && !present?.has(nearest)) {
        misspelt.add(pathText([...issue.path, nearest]));
      }
    }
  }
  return misspelt;
}

function sayIssue(issue: Issue, root: Placed, say: Say, misspelt: ReadonlySet<string>): void {
  const { place, isWhole } = placeOf(root, issue.path);
  if (place.isRefused || misspelt.has(pathText(issue.path))) return;
  if (issue.code === 'invalid_key') {
    const name = String(issue.path.at(-1));
    const what = issue.path.length === 2 ? 'an id' : 'a name';
    const expected = issue.issues[0]?.message ?? 'another one';
    say.errorAtKey(issue.path, `${what} must be ${expected}, got ${shown(name)}${idHint(name)}`);
    return;
  }
  const expected = expectedWords(issue);
  if (!isWhole) {
    const owner = ownerWords(issue.path.slice(0, -1));
    say.errorAtKey(issue.path, `${owner} needs \`${String(issue.path.at(-1))}\`, ${expected}`);
    return;
  }
  const hint = hintFor(issue, place);
  say.error(
    issue.path,
    `${keyWords(issue.path)} must be ${expected}, got ${shown(place.value)}${hint}`,
  );
}

function pathText(path: Path): string {
  return path.map(String).join('\u0000');
}

/** `bow-inlet`, or `breaker` of `cooker`, for the map that a path leads to. */
function ownerWords(path: Path): string {
  const [section, id, ...rest] = path.map(String);
  if (section === undefined) return 'the boat file';
  if (id === undefined) return `\`${section}\``;
  if (section === 'system' || section === 'intake') return `\`${section}.${id}\``;
  if (rest.length === 0) return `\`${id}\``;
  const [list, index] = path.slice(-2);
  if (typeof index === 'number') return `entry ${index + 1} of \`${String(list)}\` of \`${id}\``;
  return `\`${rest.at(-1)}\` of \`${id}\``;
}

/** The key of a value; an entry of a list is called by the list's key. */
function keyWords(path: Path): string {
  const last = path.at(-1);
  if (typeof last !== 'number') return last === undefined ? 'a boat file' : `\`${String(last)}\``;
  return `entry ${last + 1} of \`${String(path.at(-2))}\``;
}

/** A discriminated union has one text for "no map" and for "no such kind". */
function expectedWords(issue: Issue): string {
  const kinds = kindsOf(issue);
  return kinds.length === 0
    ? issue.message
    : `one of ${kinds.map((kind) => JSON.stringify(kind)).join(', ')}`;
}

/** Takes the value at an issue out of the plain values, which nobody else holds. */
function cut(root: unknown, issue: Issue): void {
  if (issue.code === 'unrecognized_keys') {
    for (const key of issue.keys) cutAt(root, [...issue.path, key]);
    return;
  }
  // Without a kind nobody knows what the other keys of a source mean.
  cutAt(root, kindsOf(issue).length > 0 ? issue.path.slice(0, -1) : issue.path);
}

function cutAt(root: unknown, path: Path): void {
  const last = path.at(-1);
  const owner = path
    .slice(0, -1)
    .reduce((at: unknown, step) => (isRecord(at) ? at[step] : undefined), root);
  if (last === undefined) return;
  if (Array.isArray(owner)) owner[Number(last)] = undefined;
  else if (isRecord(owner)) delete owner[last];
}
