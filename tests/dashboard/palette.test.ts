/**
 * The palette against WCAG 2.2: text 1.4.3 (4.5:1), enhanced text 1.4.6 (7:1), graphics 1.4.11
 * (3:1), with the relative luminance of its glossary.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';

const CSS = readFileSync(new URL('../../dashboard/styles/tokens.css', import.meta.url), 'utf8');

/** The hex colours of the first rule with this selector. */
function tokens(selector: string): Map<string, string> {
  const rule = CSS.split(`${selector} {`)[1]?.split('}')[0];
  if (rule === undefined) throw new Error(`No rule ${selector}.`);
  return new Map(
    [...rule.matchAll(/--([a-z0-9-]+): (#[0-9a-f]{6});/g)].map(([, name = '', value = '']) => [
      name,
      value,
    ]),
  );
}

const DAY = tokens(':root');
const PALETTES = {
  day: DAY,
  dusk: tokens(":root[data-palette='dusk']"),
  night: tokens(":root[data-palette='night']"),
};

function luminance(hex: string): number {
  const [red = 0, green = 0, blue = 0] = [1, 3, 5].map((start) => {
    const channel = Number.parseInt(hex.slice(start, start + 2), 16) / 255;
    return channel <= 0.04045 ? channel / 12.92 : ((channel + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}

function contrast(one: string, other: string): number {
  const [light = 0, dark = 0] = [luminance(one), luminance(other)].sort((a, b) => b - a);
  return (light + 0.05) / (dark + 0.05);
}

test('the formula gives the two values that WCAG names', () => {
  // Success criterion 1.4.3: the ratio ranges from 1:1 to 21:1 (black on white).
  expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 5);
  expect(contrast('#777777', '#777777')).toBe(1);
  // Technique G18's well-known border case: #767676 on white passes 4.5:1, #777777 does not.
  expect(contrast('#767676', '#ffffff')).toBeGreaterThanOrEqual(4.5);
  expect(contrast('#777777', '#ffffff')).toBeLessThan(4.5);
});

const traces = Array.from({ length: 8 }, (_, n) => `trace-${n + 1}`);

/** Text on what it stands on. */
const TEXTS = [
  ['ink', 'ground'],
  ['ink', 'sheet'],
  ['ink', 'sunk'],
  ['ink-soft', 'ground'],
  ['ink-soft', 'sheet'],
  ['ink-faint', 'ground'],
  ['ink-faint', 'sheet'],
  ['ground', 'ink'],
  ['act', 'sheet'],
  ['act', 'ground'],
  ['act-ink', 'act'],
  ['attention-text', 'sheet'],
  ['attention-ink', 'attention'],
  ['danger-ink', 'danger'],
] as const;

/** Shapes that have to be seen on the sheet. Yellow is not among them by day: its sign has an outline. */
const SHAPES = ['bar', 'bar-full', 'danger', 'rule', ...traces];

describe.each(Object.entries(PALETTES))('%s', (name, palette) => {
  const token = (own: string): string => {
    const value = palette.get(own);
    if (value === undefined) throw new Error(`The ${name} palette has no ${own}.`);
    return value;
  };

  test('gives every colour that the day has', () => {
    expect([...palette.keys()].sort()).toEqual([...DAY.keys()].sort());
  });

  test.each(TEXTS)('%s is readable on %s', (ink, under) => {
    expect(contrast(token(ink), token(under))).toBeGreaterThanOrEqual(4.5);
  });

  test.each(SHAPES)('%s stands out as a shape', (shape) => {
    expect(contrast(token(shape), token('sheet'))).toBeGreaterThanOrEqual(3);
  });
});

describe.each(['day', 'dusk'] as const)('%s', (name) => {
  test.each(['ground', 'sheet'])('key figures are at least 7:1 on %s', (under) => {
    for (const ink of ['ink', 'ink-soft']) {
      const [one, other] = [PALETTES[name].get(ink), PALETTES[name].get(under)];
      expect(contrast(one ?? '', other ?? '')).toBeGreaterThanOrEqual(7);
    }
  });
});

describe('night', () => {
  const { night } = PALETTES;

  test.each([...night])('%s (%s) is at most a quarter as bright as white', (_, colour) => {
    expect(luminance(colour)).toBeLessThanOrEqual(0.25);
  });

  test('the ground is black: what is not written on shines not at all', () => {
    expect(night.get('ground')).toBe('#000000');
    expect(luminance(night.get('sheet') ?? '')).toBeLessThan(0.002);
  });

  test.each(TEXTS)('through a red filter %s can still be told from %s', (ink, under) => {
    const red = (own: string) => `${night.get(own)?.slice(0, 3) ?? ''}0000`;
    // Against full red, the brightest that the filter lets through.
    const seen = (own: string) => luminance(red(own)) / luminance('#ff0000');
    const [light = 0, dark = 0] = [seen(ink), seen(under)].sort((a, b) => b - a);
    expect((light + 0.05) / (dark + 0.05)).toBeGreaterThanOrEqual(4.5);
  });
});
