/** Every name of another part must be there and be of the right kind; ids must be unique. */
import { entriesOf, PART_WORDS, SECTIONS } from './draft.ts';
import type { Checked, PartWord, Path } from './draft.ts';
import { NOTHING } from './file-panel.ts';
import { nearestHint, orList, shown } from './words.ts';

/** What may feed a selector, main switch or bus. */
const UPSTREAM: readonly PartWord[] = ['source', 'selector', 'main switch', 'battery'];

export function checkReferences(checked: Checked): void {
  checkIds(checked);
  checkSupplyNames(checked);
  checkBatteryNames(checked);
  checkCircuitNames(checked);
  for (const [id, point] of entriesOf(checked.draft.points)) {
    mustName(checked, ['points', id, 'of'], point.of, Object.values(PART_WORDS));
  }
}

/** Alert ids and addresses are made of these: the file may use each only once, and not these. */
const RESERVED = new Set([NOTHING, 'constructor', 'prototype']);

function checkIds({ draft, parts, say, lineOf }: Checked): void {
  for (const section of SECTIONS) {
    for (const id of Object.keys(draft[section] ?? {})) {
      const first = parts.get(id);
      if (RESERVED.has(id)) {
        say.errorAtKey([section, id], `"${id}" cannot be the id of a part; choose another name`);
      } else if (first !== undefined && first.section !== section) {
        const line = lineOf([first.section, id]);
        say.errorAtKey(
          [section, id],
          `"${id}" is already the id of a ${first.word} (line ${line}); each part needs an id of its own`,
        );
      }
    }
  }
  for (const id of Object.keys(draft.points ?? {})) {
    if (RESERVED.has(id)) {
      say.errorAtKey(['points', id], `"${id}" cannot be the id of a point; choose another name`);
    }
  }
}

function checkSupplyNames(checked: Checked): void {
  const { draft } = checked;
  for (const [id, selector] of entriesOf(draft.selectors)) {
    for (const [name, from] of Object.entries(selector.positions ?? {})) {
      const path = ['selectors', id, 'positions', name];
      if (from !== NOTHING) mustName(checked, path, from, UPSTREAM, `, or be "${NOTHING}"`);
    }
  }
  for (const section of ['switches', 'buses'] as const) {
    for (const [id, part] of entriesOf(draft[section])) {
      mustName(checked, [section, id, 'from'], part.from, UPSTREAM);
    }
  }
}

function checkBatteryNames(checked: Checked): void {
  for (const [id, source] of entriesOf(checked.draft.sources)) {
    if ('battery' in source) {
      mustName(checked, ['sources', id, 'battery'], source.battery, ['battery']);
    }
    if ('startBattery' in source) {
      mustName(checked, ['sources', id, 'startBattery'], source.startBattery, ['battery']);
    }
  }
}

function checkCircuitNames(checked: Checked): void {
  for (const [id, circuit] of entriesOf(checked.draft.circuits)) {
    const at = (key: string): Path => ['circuits', id, key];
    mustName(checked, at('bus'), circuit.bus, ['bus']);
    mustName(checked, at('preferInstead'), circuit.preferInstead, ['circuit']);
    mustName(checked, at('charges'), circuit.charges, ['battery']);
    mustName(checked, at('standingOrderWhenFedBy'), circuit.standingOrderWhenFedBy, ['source']);
    for (const key of ['requires', 'excludes'] as const) {
      for (const [index, name] of (circuit[key] ?? []).entries()) {
        mustName(checked, [...at(key), index], name, ['circuit']);
      }
    }
  }
}

/** Says so when `name` is not the id of a part of one of the kinds. A missing name is no matter here. */
function mustName(
  { parts, idsOf, say }: Checked,
  path: Path,
  name: string | undefined,
  kinds: readonly PartWord[],
  orElse = '',
): void {
  if (name === undefined) return;
  const found = parts.get(name);
  if (found !== undefined && kinds.includes(found.word)) return;
  const key = String(path.findLast((step) => typeof step === 'string'));
  const what = kinds.length === SECTIONS.length ? 'part' : orList(kinds);
  const which = found === undefined ? '' : `, which is a ${found.word}`;
  const isOff = orElse !== '' && /^(off|none|no|null|0|-)$/i.test(name);
  const hint = isOff ? `; write ${NOTHING}` : nearestHint(name, kinds.flatMap(idsOf), what);
  say.error(path, `\`${key}\` must name a ${what}${orElse}, found ${shown(name)}${which}${hint}`);
}
