import { describe, expect, test } from 'vitest';
import {
  fedByText,
  feedingSentence,
  isAtRest,
  labelsOf,
  liveText,
  placesOf,
  sourceText,
  standsText,
} from '../../dashboard/models/feeding.ts';
import { measured, unknown } from '../browser/scripted-known.ts';
import { EVENING_MS, scriptedPanel } from '../browser/scripted-panel.ts';

const panel = scriptedPanel(EVENING_MS);
const [climate, house, dc] = panel.buses;
const [bow, stern, , small] = panel.sources;
const [shore, , houseSelector] = panel.selectors;
if (!climate || !house || !dc || !bow || !stern || !small || !shore || !houseSelector) {
  throw new Error('The scripted panel lacks a part.');
}
const withBuses = (...buses: typeof panel.buses) => feedingSentence({ ...panel, buses });

describe('what feeds the boat', () => {
  test('is one sentence, buses with the same source together', () => {
    expect(feedingSentence(panel)).toBe(
      'Bow inlet feeds Climate bus and House bus; House bank feeds DC bus.',
    );
  });

  test('tells nothing from not known', () => {
    expect(
      withBuses({ ...climate, fedBy: null }, { ...house, fedBy: null, fedByIsKnown: false }),
    ).toBe('Nothing feeds Climate bus; what feeds House bus is not known.');
  });

  test('is not claimed where the source is only a guess', () => {
    expect(withBuses({ ...climate, fedBy: 'bow-inlet', fedByIsKnown: false })).toBe(
      'What feeds Climate bus is not known.',
    );
    expect(fedByText({ ...climate, fedByIsKnown: false }, labelsOf(panel))).toBe(
      'What feeds it is not known',
    );
  });

  test('leaves out a bus that no sensor can see, unless there is no other', () => {
    const unseen = dc.legs.map((leg) => ({ ...leg, volts: unknown(), amps: unknown() }));
    const dark = { ...dc, fedBy: null, fedByIsKnown: false, legs: unseen };
    expect(withBuses(house, dark)).toBe('Bow inlet feeds House bus.');
    expect(withBuses(dark)).toBe('What feeds DC bus is not known.');
  });

  test('of a boat without buses', () => {
    expect(withBuses()).toBe('No buses are described.');
  });

  test('begins with what is certain, and tells a bus without voltage from one nobody can see', () => {
    const noVoltage = climate.legs.map((leg) => ({ ...leg, live: 'dead' as const }));
    expect(
      withBuses(
        { ...dc, fedBy: null, fedByIsKnown: false },
        { ...climate, fedBy: null, fedByIsKnown: false, legs: noVoltage },
        house,
      ),
    ).toBe(
      'Bow inlet feeds House bus; no voltage is seen on Climate bus; what feeds DC bus is not known.',
    );
  });

  test('a source feeds something, nothing, or nobody knows what', () => {
    const labels = labelsOf(panel);
    expect(sourceText(bow, labels)).toBe('Voltage seen; feeds Climate bus and House bus.');
    expect(sourceText({ ...bow, feeds: [] }, labels)).toBe('Voltage seen; feeds nothing.');
    expect(sourceText(stern, labels)).toBe('No voltage seen.');
    expect(sourceText(small, labels)).toBe('Voltage not known; what it feeds is not known.');
  });
});

describe('voltage', () => {
  const legs = (...live: ('live' | 'dead' | 'unknown')[]) =>
    live.map((one, index) => ({ leg: `L${index + 1}`, live: one }));

  test.each([
    [legs('live', 'live'), 'Voltage seen'],
    [legs('live', 'dead'), 'Voltage seen on L1 only'],
    [legs('dead', 'live'), 'Voltage seen on L2 only'],
    [legs('dead', 'dead'), 'No voltage seen'],
    [legs('dead', 'unknown'), 'Voltage not known'],
    [legs(), 'Voltage not known'],
  ])('%j reads %s', (given, text) => {
    expect(liveText(given)).toBe(text);
  });

  test('nothing on the page calls a part dead or safe', () => {
    const all = [legs('dead', 'dead'), legs('dead'), legs('unknown')].map(liveText).join(' ');
    expect(all).not.toMatch(/dead|safe|off/i);
  });

  test('a source is at rest only if no current is seen either', () => {
    expect(isAtRest(stern)).toBe(true);
    const [first, second] = stern.legs;
    if (!first || !second) throw new Error('Two legs were expected.');
    expect(isAtRest({ ...stern, legs: [{ ...first, amps: measured(0.6) }, second] })).toBe(false);
    expect(isAtRest({ ...stern, legs: [{ ...first, amps: unknown() }, second] })).toBe(false);
    expect(isAtRest(small)).toBe(false);
  });
});

describe('selectors', () => {
  test('stand on a position, or on one of several', () => {
    expect(standsText(shore)).toBe('stands on BOW');
    expect(placesOf(shore).map(({ place }) => place)).toEqual(['here', 'not here', 'not here']);
    expect(standsText(houseSelector)).toBe('stands on SUPPLY or SMALL GENERATOR, not known which');
    expect(placesOf(houseSelector).map(({ place }) => place)).toEqual([
      'perhaps',
      'not here',
      'perhaps',
    ]);
  });

  test('fit nowhere when the readings contradict each other', () => {
    const none = { ...houseSelector, possible: [] };
    expect(standsText(none)).toBe('no position fits the readings');
    expect(placesOf(none).every(({ place }) => place === 'not here')).toBe(true);
  });
});
