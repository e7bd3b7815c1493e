/** Which outlets have voltage, and what the diagram says in words, on the demo boat. */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { energisedParts } from '../../../dashboard/single-line/energised.ts';
import { diagramSentences } from '../../../dashboard/single-line/sentences.ts';
import { textWidth, wrapped } from '../../../dashboard/single-line/lettering.ts';
import { wiringOf } from '../../../dashboard/single-line/wiring.ts';
import { createWatch, readBoat } from '../../../rules/index.ts';
import type { PanelState } from '../../../rules/index.ts';

function panelWith(volts: Record<string, number>): PanelState {
  const url = new URL('../../../simulator/boats/sable-plover.yaml', import.meta.url);
  const { boat } = readBoat(readFileSync(url, 'utf8'), 'sable-plover');
  if (!boat) throw new Error('The demo boat is not usable');
  const watch = createWatch(boat);
  for (const [part, value] of Object.entries(volts)) {
    for (const leg of ['l1', 'l2']) {
      watch.take({ pointId: `${part}-${leg}-volts`, value, atMs: 1000 });
    }
  }
  return watch.evaluate(1000).panel;
}

describe('what has voltage', () => {
  test('follows the positions from the source down', () => {
    const panel = panelWith({ bow: 120, stern: 0, large: 0, small: 0, climate: 120, house: 0 });
    const found = energisedParts(panel);
    expect(found.get('bow-inlet')).toBe('live');
    expect(found.get('shore-selector')).toBe('live');
    expect(found.get('supply-selector')).toBe('live');
    expect(found.get('climate-main')).toBe('live');
    expect(found.get('stern-inlet')).toBe('dead');
    expect(found.get('house-bus')).toBe('dead');
    expect(found.get('dc-main')).toBe('unknown');
  });

  test('a bus behind a closed switch tells what its unknown selector has', () => {
    const panel = panelWith({ bow: 120, stern: 120, large: 0, small: 0, climate: 120, house: 120 });
    expect(panel.selectors.find(({ id }) => id === 'shore-selector')?.position).toBeNull();
    expect(energisedParts(panel).get('shore-selector')).toBe('live');
  });

  test('without any reading nothing is said to have voltage or none', () => {
    expect([...new Set(energisedParts(panelWith({})).values())]).toEqual(['unknown']);
  });
});

test('the sentences name every part that is drawn', () => {
  const panel = panelWith({ bow: 120 });
  const told = diagramSentences(panel).join('\n');
  for (const { label } of wiringOf(panel).parts) expect(told).toContain(label);
  expect(told).toContain('Bow inlet (shore inlet): voltage seen.');
});

describe('lettering', () => {
  test('lines never grow wider than they may', () => {
    const lines = wrapped('Air conditioner, owner’s cabin and the one beside it', 90, 2);
    expect(lines).toHaveLength(2);
    expect(lines.at(-1)).toMatch(/…$/);
    for (const line of lines) expect(textWidth(line)).toBeLessThanOrEqual(90);
  });

  test('a text that fits stays as it is', () => {
    expect(wrapped('HOUSE', 90, 2)).toEqual(['HOUSE']);
  });
});
