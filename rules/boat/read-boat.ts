/**
 * Reads a boat file. The only way to a `Boat`; whatever is wrong with the text comes back as
 * problems, all at once and in the order of the file.
 */
import type { Boat } from './boat.ts';
import { buildBoat } from './build-boat.ts';
import { checkAddresses } from './check-addresses.ts';
import { checkCircuits } from './check-circuits.ts';
import { checkIntake } from './check-intake.ts';
import { checkLimits } from './check-limits.ts';
import { checkPoints } from './check-points.ts';
import { checkRatings } from './check-ratings.ts';
import { checkReferences } from './check-references.ts';
import { checkSupply } from './check-supply.ts';
import { checkLegs, checkSystem } from './check-system.ts';
import { PART_WORDS, placeOf, sayTo, SECTIONS } from './draft.ts';
import type { Checked, DeclaredPart, DraftFile, PartWord } from './draft.ts';
import { boatFileSchema } from './file-schema.ts';
import { inOrder } from './problem.ts';
import type { Problem } from './problem.ts';
import { isRecord } from './records.ts';
import { sayIssues } from './schema-problems.ts';
import { supplyView } from './supply-view.ts';
import type { SupplyView } from './supply-view.ts';
import { readYamlTree } from './yaml-tree.ts';
import type { Placed, YamlTree } from './yaml-tree.ts';

export interface ReadBoat {
  /** Null when there is at least one error among the problems. */
  boat: Boat | null;
  /** By line and column. Warnings do not stand in the way of the boat. */
  problems: Problem[];
}

/**
 * The boat that `text` describes. `fileName` only goes into the problems. Never throws on any
 * text. Checks beyond the YAML itself run on whatever part of the file makes sense, so that one
 * mistake does not hide another.
 */
export function readBoat(text: string, fileName: string): ReadBoat {
  const tree = readYamlTree(text, fileName);
  const { root, problems } = tree;
  if (root === null) return { boat: null, problems: inOrder(problems) };
  const say = sayTo(problems, tree, root, fileName);
  const parsed = boatFileSchema.safeParse(root.value);
  if (!parsed.success) sayIssues(parsed.error.issues, boatFileSchema, root, say);
  if (!isDraft(root.value)) return { boat: null, problems: inOrder(problems) };
  const checked = toCheck(root.value, root, tree, say);
  const supply = supplyView(checked.draft, checked.parts);
  checkAll(checked, supply);
  const isFit = parsed.success && !problems.some(({ severity }) => severity === 'error');
  const boat = isFit ? buildBoat(parsed.data, supply, checked.keysOf) : null;
  if (boat !== null) checkPointRanges(boat, checked);
  const isSound = !problems.some(({ severity }) => severity === 'error');
  return { boat: isSound ? boat : null, problems: inOrder(problems) };
}

/** Of a map whose issues have been cut out: what is left has the schema's types. */
function isDraft(value: unknown): value is DraftFile {
  return isRecord(value) && !Array.isArray(value);
}

function toCheck(draft: DraftFile, root: Placed, tree: YamlTree, say: Checked['say']): Checked {
  const keysOf: Checked['keysOf'] = (path) => {
    const { place, isWhole } = placeOf(root, path);
    return isWhole ? [...(place.children?.keys() ?? [])] : [];
  };
  const parts = declaredParts(keysOf);
  const idsByKind = new Map<PartWord, string[]>();
  for (const { id, word } of parts.values()) {
    const ids = idsByKind.get(word);
    if (ids === undefined) idsByKind.set(word, [id]);
    else ids.push(id);
  }
  return {
    draft,
    parts,
    idsOf: (kind) => idsByKind.get(kind) ?? [],
    say,
    keysOf,
    lineOf: (path) => tree.lineAndColumn(placeOf(root, path).place.keyOffset).line,
  };
}

/** Every part that the file names; of two with the same id the first. */
function declaredParts(keysOf: Checked['keysOf']): Map<string, DeclaredPart> {
  const parts = new Map<string, DeclaredPart>();
  for (const section of SECTIONS) {
    for (const id of keysOf([section])) {
      if (!parts.has(id)) parts.set(id, { id, section, word: PART_WORDS[section] });
    }
  }
  return parts;
}

function checkAll(checked: Checked, supply: SupplyView): void {
  checkSystem(checked);
  checkReferences(checked);
  checkSupply(checked, supply);
  checkLegs(checked, supply);
  checkCircuits(checked, supply);
  checkPoints(checked, supply);
  checkAddresses(checked);
  checkRatings(checked, supply);
  checkLimits(checked);
  checkIntake(checked);
}

/** Only the built point knows the default that the other end of its range has. */
function checkPointRanges(boat: Boat, { draft, say }: Checked): void {
  for (const { id, min, max } of boat.points.values()) {
    if (min < max) continue;
    const key = draft.points?.[id]?.min === undefined ? 'max' : 'min';
    const other =
      key === 'min'
        ? `below the default \`max\` (${max}), got ${min}`
        : `above the default \`min\` (${min}), got ${max}`;
    say.error(['points', id, key], `\`${key}\` must be ${other}`);
  }
}
