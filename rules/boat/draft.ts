/**
 * The boat file as far as it makes sense: whatever the schema refused is left out, so that the
 * cross checks can run on the rest and all problems come out at once.
 */
import type { LegName, PartId } from './boat.ts';
import { DC_LEG } from './boat.ts';
import type { BoatFile } from './file-schema.ts';
import type { Placed, YamlTree } from './yaml-tree.ts';
import type { Problem } from './problem.ts';

/** The same shape with every part of it perhaps missing. */
export type Draft<T> = T extends readonly (infer Item)[]
  ? readonly (Draft<Item> | undefined)[]
  : T extends object
    ? { readonly [Key in keyof T]?: Draft<T[Key]> | undefined }
    : T;

export type DraftFile = Draft<BoatFile>;
export type DraftCircuit = NonNullable<NonNullable<DraftFile['circuits']>[string]>;
export type DraftPoint = NonNullable<NonNullable<DraftFile['points']>[string]>;
export type DraftSource = NonNullable<NonNullable<DraftFile['sources']>[string]>;

export type Path = readonly PropertyKey[];

/** Sections whose keys are ids of parts, with the trade's word for one of them. */
export const PART_WORDS = {
  sources: 'source',
  selectors: 'selector',
  switches: 'main switch',
  buses: 'bus',
  batteries: 'battery',
  circuits: 'circuit',
} as const;

export type Section = keyof typeof PART_WORDS;

export const SECTIONS: readonly Section[] = [
  'sources',
  'selectors',
  'switches',
  'buses',
  'batteries',
  'circuits',
];

export type PartWord = (typeof PART_WORDS)[Section];

/** The parts that the file names, those with problems of their own included. */
export interface DeclaredPart {
  id: PartId;
  section: Section;
  word: PartWord;
}

/** Says what is wrong, at a value or at its key. Where the path ends early, at what is there. */
export interface Say {
  error: (path: Path, message: string) => void;
  errorAtKey: (path: Path, message: string) => void;
  warning: (path: Path, message: string) => void;
  warningAtKey: (path: Path, message: string) => void;
}

/** What every cross check gets. */
export interface Checked {
  draft: DraftFile;
  parts: ReadonlyMap<PartId, DeclaredPart>;
  /** Ids of all parts of a kind, in the order of the file. */
  idsOf: (kind: PartWord) => readonly PartId[];
  say: Say;
  /** Line on which a key stands. */
  lineOf: (path: Path) => number;
  /** Keys of a map in the order of the file; JavaScript would put `1` before `OFF`. */
  keysOf: (path: Path) => string[];
}

/** Follows a path as far as it goes. */
export function placeOf(root: Placed, path: Path): { place: Placed; isWhole: boolean } {
  let place = root;
  for (const step of path) {
    const next = place.children?.get(String(step));
    if (next === undefined) return { place, isWhole: false };
    place = next;
  }
  return { place, isWhole: true };
}

/** Collects problems by their path in the file. */
export function sayTo(problems: Problem[], tree: YamlTree, root: Placed, file: string): Say {
  const add = (
    severity: Problem['severity'],
    isKey: boolean,
    path: Path,
    message: string,
  ): void => {
    const { place, isWhole } = placeOf(root, path);
    const offset = isKey || !isWhole ? place.keyOffset : place.offset;
    problems.push({ severity, file, ...tree.lineAndColumn(offset), message });
  };
  return {
    error: (path, message) => add('error', false, path, message),
    errorAtKey: (path, message) => add('error', true, path, message),
    warning: (path, message) => add('warning', false, path, message),
    warningAtKey: (path, message) => add('warning', true, path, message),
  };
}

/** Entries of a section that are there, problems or not. */
export function entriesOf<Entry>(
  section: { readonly [id: string]: Entry | undefined } | undefined,
): [id: string, entry: Entry][] {
  return Object.entries(section ?? {}).filter(
    (entry): entry is [string, Entry] => entry[1] !== undefined,
  );
}

/** The words of a list that made sense. */
export function wordsOf(list: readonly (string | undefined)[] | undefined): string[] {
  return (list ?? []).filter((word) => word !== undefined);
}

export const LEG_NAME = /^[A-Za-z0-9]{1,8}$/;

/** Leg names of the AC system, or null when it has none or they make no sense. */
export function acLegsOf(draft: DraftFile): LegName[] | null {
  const ac = draft.system?.ac;
  if (ac?.kind === undefined) return null;
  if (ac.legs === undefined) return ac.kind === 'split phase' ? ['L1', 'L2'] : ['L'];
  const legs = [...new Set(wordsOf(ac.legs))];
  const isRight = legs.length === (ac.kind === 'split phase' ? 2 : 1);
  return isRight && legs.every((leg) => LEG_NAME.test(leg) && leg !== DC_LEG) ? legs : null;
}
