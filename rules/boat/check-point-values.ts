/** The way from what a sensor sends to a reading: unit, arithmetic, range, words. */
import type { Quantity } from './boat.ts';
import type { Checked, DraftPoint, Path } from './draft.ts';
import { isNumeric, unitsOf } from './units.ts';
import { nearestName, quotedOrList, shown } from './words.ts';

export function checkPointValues(
  quantity: Quantity,
  point: DraftPoint,
  path: Path,
  checked: Checked,
): void {
  if (isNumeric(quantity)) {
    checkUnit(quantity, point, path, checked);
    checkRange(point, path, checked);
  } else {
    checkNoArithmetic(quantity, path, checked);
    checkWords(quantity, point, path, checked);
  }
}

function checkUnit(
  quantity: Quantity,
  { unit }: DraftPoint,
  path: Path,
  { say, keysOf }: Checked,
): void {
  if (keysOf(path).includes('words')) {
    say.errorAtKey(
      [...path, 'words'],
      `\`words\` is for position and switch, found it with ${quantity}`,
    );
  }
  const valid = unitsOf(quantity);
  if (unit === undefined || valid.includes(unit)) return;
  const bare = unit.toLowerCase().replaceAll(/\s/g, '');
  const nearest = valid.find((name) => name.toLowerCase() === bare);
  const others =
    nearest === undefined ? `it may be ${quotedOrList(valid)}` : `nearest is "${nearest}"`;
  const hint = bare === 'va' && quantity === 'watts' ? 'apparent power is not watts' : others;
  say.error(
    [...path, 'unit'],
    `\`unit\` must be a unit of ${quantity}, got ${shown(unit)}; ${hint}`,
  );
}

function checkNoArithmetic(quantity: Quantity, path: Path, { say, keysOf }: Checked): void {
  const given = keysOf(path);
  for (const key of ['unit', 'scale', 'offset', 'sign', 'min', 'max']) {
    if (given.includes(key)) {
      say.errorAtKey([...path, key], `\`${key}\` is for numbers; ${quantity} comes as a word`);
    }
  }
}

function checkWords(
  quantity: Quantity,
  point: DraftPoint,
  path: Path,
  { draft, say, keysOf }: Checked,
): void {
  if (point.words === undefined || point.of === undefined) return;
  const isSwitch = quantity === 'switch';
  if (!isSwitch && draft.selectors?.[point.of]?.positions === undefined) return;
  const names = isSwitch
    ? ['closed', 'open', 'tripped']
    : keysOf(['selectors', point.of, 'positions']);
  const meant = Object.entries(point.words);
  for (const [word, name] of meant) {
    if (name === undefined || names.includes(name)) continue;
    const nearest = nearestName(name, names);
    const hint = nearest === null ? '' : `; nearest is "${nearest}"`;
    say.error(
      [...path, 'words', word],
      `\`${word}\` must stand for ${quotedOrList(names)}, got ${shown(name)}${hint}`,
    );
  }
  const missing = names.filter((name) => !meant.some(([, own]) => own === name));
  if (!isSwitch && missing.length > 0) {
    say.warningAtKey([...path, 'words'], `no word stands for ${quotedOrList(missing)}`);
  }
}

function checkRange({ min, max, scale }: DraftPoint, path: Path, { say }: Checked): void {
  if (scale === 0)
    say.error([...path, 'scale'], '`scale` must not be 0: every reading would be the same');
  if (min !== undefined && max !== undefined && min >= max) {
    say.error([...path, 'min'], `\`min\` must be below \`max\` (${max}), got ${min}`);
  }
}
