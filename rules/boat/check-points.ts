/** What a point measures: a quantity its part can have, on a leg it has, in a unit that fits. */
import type { Quantity } from './boat.ts';
import { entriesOf } from './draft.ts';
import type { Checked, DeclaredPart, DraftPoint, PartWord, Path } from './draft.ts';
import { checkPointValues } from './check-point-values.ts';
import { legMessage } from './check-system.ts';
import { namesOf } from './records.ts';
import type { SupplyView } from './supply-view.ts';
import { orList, quotedOrList } from './words.ts';

/**
 * Which parts can have a quantity. Volts of a selector or main switch are those of its load side.
 * A circuit has no volts of its own: they would be those of its bus, or tell of its breaker, which
 * is what `switch` is for.
 */
const PARTS_WITH: Readonly<Record<Quantity, readonly PartWord[]>> = {
  volts: ['source', 'battery', 'selector', 'main switch', 'bus'],
  amps: ['source', 'battery', 'selector', 'main switch', 'bus', 'circuit'],
  watts: ['source', 'battery', 'selector', 'main switch', 'bus', 'circuit'],
  hertz: ['source', 'bus'],
  powerFactor: ['source', 'selector', 'main switch', 'bus', 'circuit'],
  stateOfCharge: ['battery'],
  celsius: ['source', 'battery', 'selector', 'main switch', 'bus', 'circuit'],
  position: ['selector'],
  switch: ['main switch', 'circuit'],
};

const AC_ONLY: ReadonlySet<Quantity> = new Set(['hertz', 'powerFactor']);
const BY_LEG: ReadonlySet<Quantity> = new Set(['volts', 'amps', 'watts', 'powerFactor']);

export function isByLeg(quantity: Quantity): boolean {
  return BY_LEG.has(quantity);
}

/**
 * Name under which the volts across both legs of a split-phase part may be measured, `L1-L2` say:
 * the one thing that tells a 120/240 V supply from a 208 V one and from two legs of one phase.
 */
export const acrossLegs = (legs: readonly string[]): string | null =>
  legs.length === 2 ? legs.join('-') : null;

export function checkPoints(checked: Checked, supply: SupplyView): void {
  const { draft, parts, say } = checked;
  for (const [id, point] of entriesOf(draft.points)) {
    const { quantity } = point;
    const part = point.of === undefined ? undefined : parts.get(point.of);
    if (quantity === undefined) continue;
    const path = ['points', id];
    checkPointValues(quantity, point, path, checked);
    if (part === undefined) continue;
    if (!PARTS_WITH[quantity].includes(part.word)) {
      sayNotMeasurable(quantity, part, path, checked);
    } else if (AC_ONLY.has(quantity) && supply.systemOf(part.id) === 'dc') {
      say.error([...path, 'quantity'], `DC has no ${quantity}, and "${part.id}" is DC`);
    } else {
      checkPointLeg(id, point, part, supply, checked);
    }
  }
  checkMeasuredOnce(checked, supply);
  const isLeftOut = draft.points === undefined && !checked.keysOf([]).includes('points');
  if (isLeftOut || (draft.points !== undefined && checked.keysOf(['points']).length === 0)) {
    say.warningAtKey(['points'], 'the boat has no points, so nothing can be watched');
  }
}

function sayNotMeasurable(
  quantity: Quantity,
  part: DeclaredPart,
  path: Path,
  { say }: Checked,
): void {
  const valid = namesOf(PARTS_WITH).filter((other) => PARTS_WITH[other].includes(part.word));
  say.error(
    [...path, 'quantity'],
    `a ${part.word} has no ${quantity}; "${part.id}" can have ${orList(valid)}`,
  );
}

/** The legs of a part as far as they can be told. */
export function legsOfPart(
  part: DeclaredPart,
  { draft }: Checked,
  supply: SupplyView,
): readonly string[] | null {
  if (part.section !== 'circuits') return supply.legsOf(part.id);
  const circuit = draft.circuits?.[part.id];
  if (circuit?.leg !== undefined) return [circuit.leg];
  const legs = circuit?.legs;
  if (legs !== undefined) return legs.filter((leg) => leg !== undefined);
  return circuit?.bus === undefined ? null : supply.legsOf(circuit.bus);
}

function checkPointLeg(
  id: string,
  point: DraftPoint,
  part: DeclaredPart,
  supply: SupplyView,
  checked: Checked,
): void {
  const { say } = checked;
  const { quantity, leg } = point;
  const path = ['points', id];
  if (quantity === undefined) return;
  if (!isByLeg(quantity)) {
    if (leg !== undefined)
      say.errorAtKey([...path, 'leg'], `${quantity} has no leg; leave \`leg\` out`);
    return;
  }
  const legs = legsOfPart(part, checked, supply);
  if (legs === null) return;
  if (quantity === 'volts' && leg !== undefined && leg === acrossLegs(legs)) return;
  if (leg !== undefined && !legs.includes(leg)) {
    say.error([...path, 'leg'], legMessage('leg', leg, legs, `"${part.id}"`));
  } else if (leg === undefined && legs.length > 1 && !checked.keysOf(path).includes('leg')) {
    say.errorAtKey(path, `\`${id}\` needs \`leg\`: "${part.id}" has ${quotedOrList(legs)}`);
  }
}

function checkMeasuredOnce(checked: Checked, supply: SupplyView): void {
  const first = new Map<string, string>();
  for (const [id, point] of entriesOf(checked.draft.points)) {
    const { of, quantity } = point;
    const part = of === undefined ? undefined : checked.parts.get(of);
    if (part === undefined || quantity === undefined) continue;
    const legs = isByLeg(quantity) ? legsOfPart(part, checked, supply) : [undefined];
    const leg = isByLeg(quantity) ? (point.leg ?? legs?.[0]) : undefined;
    // Which leg of several is not said, and that has been said.
    if (point.leg === undefined && legs?.length !== 1) continue;
    const key = JSON.stringify([of, quantity, leg]);
    const other = first.get(key);
    first.set(key, other ?? id);
    if (other === undefined) continue;
    const on = leg === undefined ? '' : ` on leg ${leg}`;
    checked.say.errorAtKey(
      ['points', id],
      `${quantity} of "${of}"${on} is measured by "${other}" already (line ${checked.lineOf(['points', other])}); each quantity may have one point`,
    );
  }
}
