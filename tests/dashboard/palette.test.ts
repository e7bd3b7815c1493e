/**
 * The palette against WCAG 2.2: text 1.4.3 (4.5:1), enhanced text 1.4.6 (7:1), graphics 1.4.11
 * (3:1), with the relative luminance of its glossary.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';

const CSS = readFileSync(new URL('../../dashboard/styles/tokens.css', import.meta.url), 'utf8');
const [DAY = '', NIGHT = ''] = CSS.split('@media (prefers-color-scheme: dark)');

function tokens(css: string): Map<string, string> {
  return new Map(
    [...css.matchAll(/--([a-z0-9-]+): (#[0-9a-f]{6});/g)].map(([, name = '', value = '']) => [
      name,
      value,
    ]),
  );
}

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

describe.each([
  ['day', tokens(DAY)],
  ['night', tokens(NIGHT)],
])('%s', (_, palette) => {
  const between = (one: string, other: string) => {
    const [first, second] = [palette.get(one), palette.get(other)];
    if (first === undefined || second === undefined)
      throw new Error(`No token ${one} or ${other}.`);
    return contrast(first, second);
  };

  test.each(['ground', 'sheet'])('key figures are at least 7:1 on %s', (under) => {
    expect(between('ink', under)).toBeGreaterThanOrEqual(7);
    expect(between('ink-soft', under)).toBeGreaterThanOrEqual(7);
  });

  test.each([
    ['ink-faint', 'ground'],
    ['ink-faint', 'sheet'],
    ['act', 'sheet'],
    ['act', 'ground'],
    ['act-ink', 'act'],
    ['attention-ink', 'attention'],
    ['danger-ink', 'danger'],
  ])('%s is readable on %s', (ink, under) => {
    expect(between(ink, under)).toBeGreaterThanOrEqual(4.5);
  });

  test.each(['bar', 'danger', 'rule', ...traces])('%s stands out as a shape', (shape) => {
    expect(between(shape, 'sheet')).toBeGreaterThanOrEqual(3);
  });
});
