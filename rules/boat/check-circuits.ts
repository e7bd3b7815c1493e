/** What circuits, generators and conductors say about themselves and about each other. */
import { entriesOf, wordsOf } from './draft.ts';
import type { Checked, DraftCircuit, Path } from './draft.ts';
import { loopsAmong, loopWords } from './loops.ts';
import type { SupplyView } from './supply-view.ts';
import { quotedOrList } from './words.ts';

export function checkCircuits(checked: Checked, supply: SupplyView): void {
  checkCircuitPairs(checked);
  checkRequiredLoops(checked);
  checkStandingOrders(checked, supply);
  checkAppliances(checked);
  checkConductors(checked);
  checkGenerators(checked);
}

function checkCircuitPairs(checked: Checked): void {
  const { draft, say } = checked;
  for (const [id, circuit] of entriesOf(draft.circuits)) {
    const path = ['circuits', id];
    for (const key of ['requires', 'excludes'] as const) {
      for (const [index, name] of (circuit[key] ?? []).entries()) {
        if (name !== id) continue;
        say.error([...path, key, index], `a circuit cannot be in its own \`${key}\``);
      }
    }
    if (circuit.preferInstead === id) {
      say.error([...path, 'preferInstead'], 'a circuit cannot be preferred to itself');
    }
    for (const [index, name] of (circuit.requires ?? []).entries()) {
      if (name === undefined || name === id) continue;
      const forbidding = whoExcludes(id, name, checked);
      if (forbidding === null) continue;
      say.error(
        [...path, 'requires', index],
        `"${name}" cannot be required here: \`excludes\` of "${forbidding}" forbids the two together`,
      );
    }
  }
}

/** Two circuits exclude each other when either says so. */
function whoExcludes(id: string, other: string, { draft }: Checked): string | null {
  if (wordsOf(draft.circuits?.[id]?.excludes).includes(other)) return id;
  return wordsOf(draft.circuits?.[other]?.excludes).includes(id) ? other : null;
}

function checkRequiredLoops({ draft, say }: Checked): void {
  const circuits = draft.circuits ?? {};
  const ids = Object.keys(circuits);
  // A circuit that names itself has been told so already.
  const othersIn = (list: readonly (string | undefined)[] | undefined, id: string): string[] =>
    wordsOf(list).filter((name) => name !== id);
  for (const loop of loopsAmong(ids, (id) => othersIn(circuits[id]?.requires, id))) {
    const [first = '', second] = loop;
    const index = wordsOf(circuits[first]?.requires).indexOf(second ?? '');
    say.error(
      ['circuits', first, 'requires', index],
      `no circuit could ever be first, found the loop ${loopWords(loop)} in \`requires\``,
    );
  }
  for (const loop of loopsAmong(ids, (id) => othersIn([circuits[id]?.preferInstead], id))) {
    say.error(
      ['circuits', loop[0] ?? '', 'preferInstead'],
      `each of these is to be used instead of the next: ${loopWords(loop)}`,
    );
  }
}

function checkStandingOrders({ draft, parts, say }: Checked, supply: SupplyView): void {
  for (const [id, circuit] of entriesOf(draft.circuits)) {
    const source = circuit.standingOrderWhenFedBy;
    if (source === undefined) continue;
    const path = ['circuits', id, 'standingOrderWhenFedBy'];
    if (circuit.standingOrder !== 'should be on') {
      say.errorAtKey(
        path,
        '`standingOrderWhenFedBy` needs `standingOrder: should be on` beside it',
      );
    }
    const { bus } = circuit;
    if (bus === undefined || supply.legsOf(bus) === null || !parts.has(source)) continue;
    const roots = [...supply.rootsOf(bus)];
    if (!roots.includes(source)) {
      const who = roots.length === 0 ? 'nothing does' : `it is fed by ${quotedOrList(roots)}`;
      say.error(
        path,
        `"${source}" can never feed "${bus}", so this order would never hold; ${who}`,
      );
    }
  }
}

/** Two of one name on one circuit could not be told apart, and one above its breaker never runs. */
function checkAppliances({ draft, say }: Checked): void {
  for (const [id, { appliances, breaker }] of entriesOf(draft.circuits)) {
    const seen = new Set<string>();
    for (const [index, appliance] of (appliances ?? []).entries()) {
      const { label, amps } = appliance ?? {};
      const path = ['circuits', id, 'appliances', index];
      if (label !== undefined && seen.has(label)) {
        say.error([...path, 'label'], `"${label}" stands on this circuit twice`);
      }
      if (label !== undefined) seen.add(label);
      if (amps !== undefined && breaker?.amps !== undefined && amps > breaker.amps) {
        say.warning([...path, 'amps'], `${amps} A is above the breaker (${breaker.amps} A)`);
      }
    }
  }
}

function checkConductors(checked: Checked): void {
  for (const [id, circuit] of entriesOf(checked.draft.circuits)) {
    checkConductor(circuit.conductor, ['circuits', id, 'conductor'], checked);
  }
  for (const [id, source] of entriesOf(checked.draft.sources)) {
    if ('cord' in source) checkConductor(source.cord, ['sources', id, 'cord'], checked);
  }
}

function checkConductor(
  conductor: DraftCircuit['conductor'],
  path: Path,
  { say, keysOf }: Checked,
): void {
  if (conductor === undefined) return;
  const key = `\`${String(path.at(-1))}\``;
  const keys = keysOf(path);
  const sizes = ['awg', 'squareMillimetres'].filter((name) => keys.includes(name));
  // A size that is misspelt or makes no sense has been spoken of already.
  const isUnderstood = keys.length === Object.keys(conductor).length;
  if (sizes.length === 2 || (sizes.length === 0 && isUnderstood)) {
    const found = sizes.length === 2 ? 'both' : 'neither';
    say.errorAtKey(path, `${key} must give \`awg\` or \`squareMillimetres\`, found ${found}`);
  }
  if (keys.includes('lengthMetres') && keys.includes('lengthFeet')) {
    say.errorAtKey(path, `${key} must give \`lengthMetres\` or \`lengthFeet\`, found both`);
  }
}

function checkGenerators({ draft, say }: Checked): void {
  for (const [id, source] of entriesOf(draft.sources)) {
    if (source.kind !== 'generator') continue;
    const { kilowatts, kilovoltAmps } = source;
    if (kilowatts === undefined || kilovoltAmps === undefined || kilovoltAmps >= kilowatts)
      continue;
    say.error(
      ['sources', id, 'kilovoltAmps'],
      `\`kilovoltAmps\` must be at least \`kilowatts\` (${kilowatts}), got ${kilovoltAmps}`,
    );
  }
}
