/** The AC and DC system, and the legs of everything that has legs. */
import { acLegsOf, entriesOf, LEG_NAME, wordsOf } from './draft.ts';
import type { Checked, Path } from './draft.ts';
import { DC_LEG } from './boat.ts';
import type { SupplyView } from './supply-view.ts';
import { nearestHint, quotedOrList, shown } from './words.ts';

export function checkSystem(checked: Checked): void {
  checkSystemPresent(checked);
  checkAcLegNames(checked);
  checkAcVolts(checked);
}

function checkSystemPresent({ draft, say, keysOf }: Checked): void {
  if (draft.system !== undefined && keysOf(['system']).length === 0) {
    say.errorAtKey(['system'], '`system` must have `ac`, `dc` or both, found neither');
  }
}

function checkAcLegNames({ draft, say }: Checked): void {
  const ac = draft.system?.ac;
  if (ac?.legs === undefined || ac.kind === undefined) return;
  const path = ['system', 'ac', 'legs'];
  const needed = ac.kind === 'split phase' ? 2 : 1;
  if (ac.legs.length !== needed) {
    const example = needed === 2 ? '[L1, L2]' : '[L]';
    say.error(
      path,
      `${ac.kind} has ${needed === 2 ? 'two legs' : 'one leg'}, got ${ac.legs.length}; write ${example}`,
    );
  }
  for (const [index, leg] of ac.legs.entries()) {
    if (leg === undefined) continue;
    if (!LEG_NAME.test(leg)) {
      say.error(
        [...path, index],
        `the name of a leg must be 1 to 8 letters and digits, got ${shown(leg)}`,
      );
    } else if (leg === DC_LEG) {
      say.error(
        [...path, index],
        `"${DC_LEG}" is the name of every DC leg; name this AC leg otherwise`,
      );
    }
  }
  sayTwice(ac.legs, path, say);
}

function sayTwice(legs: readonly (string | undefined)[], path: Path, say: Checked['say']): void {
  for (const [index, leg] of legs.entries()) {
    if (leg !== undefined && legs.indexOf(leg) !== index) {
      say.error([...path, index], `leg "${leg}" stands here a second time`);
    }
  }
}

/** The commonest slip with 120/240 V: giving the volts between the legs. */
function checkAcVolts({ draft, say }: Checked): void {
  const ac = draft.system?.ac;
  if (ac?.kind !== 'split phase' || ac.volts === undefined || ac.volts <= 150) return;
  say.error(
    ['system', 'ac', 'volts'],
    `\`volts\` must be those of one leg to neutral, got ${ac.volts} for split phase; write ${ac.volts / 2}`,
  );
}

/** Legs that sources, buses and circuits name. Points: see `check-points.ts`. */
export function checkLegs(checked: Checked, supply: SupplyView): void {
  const { draft, say } = checked;
  const acLegs = acLegsOf(draft);
  for (const [id, source] of entriesOf(draft.sources)) {
    if (!('legs' in source) || source.legs === undefined || acLegs === null) continue;
    checkLegList(source.legs, ['sources', id, 'legs'], acLegs, 'this boat', say);
  }
  for (const [id, bus] of entriesOf(draft.buses)) {
    const upstream = bus.from === undefined ? null : supply.legsOf(bus.from);
    if (bus.legs === undefined || upstream === null) continue;
    checkLegList(bus.legs, ['buses', id, 'legs'], upstream, `"${bus.from}"`, say);
  }
  for (const [id] of entriesOf(draft.circuits)) checkCircuitLegs(id, checked, supply);
}

function checkCircuitLegs(id: string, { draft, say }: Checked, supply: SupplyView): void {
  const circuit = draft.circuits?.[id];
  const bus = circuit?.bus;
  const legs = bus === undefined ? null : supply.legsOf(bus);
  const path = ['circuits', id];
  if (circuit?.leg !== undefined && circuit.legs !== undefined) {
    say.errorAtKey([...path, 'legs'], `\`${id}\` must have \`leg\` or \`legs\`, found both`);
  }
  if (circuit === undefined || legs === null) return;
  if (circuit.leg !== undefined && !legs.includes(circuit.leg)) {
    say.error([...path, 'leg'], legMessage('leg', circuit.leg, legs, `"${bus}"`));
  }
  if (circuit.legs !== undefined)
    checkLegList(circuit.legs, [...path, 'legs'], legs, `"${bus}"`, say);
  if (circuit.leg === undefined && circuit.legs === undefined && legs.length > 1) {
    say.errorAtKey(path, `\`${id}\` needs \`leg\`: its bus "${bus}" has ${quotedOrList(legs)}`);
  }
}

function checkLegList(
  legs: readonly (string | undefined)[],
  path: Path,
  valid: readonly string[],
  owner: string,
  say: Checked['say'],
): void {
  if (legs.length === 0) say.error(path, '`legs` must name at least one leg, got an empty list');
  for (const [index, leg] of legs.entries()) {
    if (leg !== undefined && !valid.includes(leg)) {
      say.error([...path, index], legMessage('legs', leg, valid, owner));
    }
  }
  sayTwice(wordsOf(legs).length === legs.length ? legs : [], path, say);
}

export function legMessage(
  key: string,
  leg: string,
  valid: readonly string[],
  owner: string,
): string {
  const isDc = valid.length === 1 && valid[0] === DC_LEG;
  const hint = isDc
    ? `; ${owner} is DC and has no other leg than "DC"`
    : nearestHint(leg, valid, 'leg');
  return `\`${key}\` must name a leg of ${owner}, found ${shown(leg)}${hint}`;
}
