import { describe, expect, test } from 'vitest';
import type { BandsAnswer, PanelEvent } from '../../daemon/api/contract.ts';
import { alertBands, busesNow, feedBands } from '../../dashboard/models/bands.ts';
import { happeningsOf, holding } from '../../dashboard/models/happenings.ts';
import { PAST_ALERTS } from '../browser/scripted-alerts.ts';
import { EVENING_MS, scriptedPanel } from '../browser/scripted-panel.ts';

const stretch = { fromMs: 1000, toMs: 2000 };
const change = (atMs: number, part: string, by: string, before: string): PanelEvent => ({
  atMs,
  type: 'source changed',
  part,
  text: `${part} is now fed by ${by}.`,
  feed: { by, before },
});
const answer = (parts: Partial<BandsAnswer>): BandsAnswer => ({
  ...stretch,
  alerts: [],
  sourceEvents: [],
  before: [],
  isComplete: true,
  ...parts,
});
const onShore = [{ id: 'house', fedBy: 'shore' }];

describe('what fed the boat', () => {
  test('without a recorded change is what feeds her now', () => {
    expect(feedBands(answer({}), onShore, stretch)).toEqual([
      { ...stretch, sources: ['shore'], lost: [] },
    ]);
    expect(feedBands(answer({}), [{ id: 'house', fedBy: null }], stretch)[0]?.sources).toEqual([]);
  });

  test('follows the last change before, and before the first one what it names', () => {
    const before = [change(500, 'house', 'generator', 'shore')];
    expect(feedBands(answer({ before }), onShore, stretch)[0]?.sources).toEqual(['generator']);
    const sourceEvents = [change(1500, 'house', 'generator', 'stern')];
    expect(feedBands(answer({ sourceEvents }), onShore, stretch)).toEqual([
      { fromMs: 1000, toMs: 1500, sources: ['stern'], lost: [] },
      { fromMs: 1500, toMs: 2000, sources: ['generator'], lost: [] },
    ]);
  });

  test('of two buses is told once where it is the same', () => {
    const sourceEvents = [change(1500, 'climate', 'generator', 'shore')];
    const buses = [...onShore, { id: 'climate', fedBy: 'generator' }];
    expect(
      feedBands(answer({ sourceEvents }), buses, stretch).map(({ sources }) => sources),
    ).toEqual([['shore'], ['shore', 'generator']]);
  });

  test('says where its source had no voltage', () => {
    const lost: PanelEvent = { atMs: 1200, type: 'source dead', part: 'shore', text: '' };
    const back: PanelEvent = { atMs: 1700, type: 'source live', part: 'shore', text: '' };
    const bands = feedBands(answer({ sourceEvents: [lost, back] }), onShore, stretch);
    expect(bands.map(({ fromMs, lost: without }) => [fromMs, without])).toEqual([
      [1000, []],
      [1200, ['shore']],
      [1700, []],
    ]);
  });

  test('is not guessed from a record that does not name the parts', () => {
    const old: PanelEvent = { atMs: 1500, type: 'source changed', part: 'house', text: 'House …' };
    const bands = feedBands(
      answer({ sourceEvents: [old] }),
      [{ id: 'house', fedBy: null }],
      stretch,
    );
    expect(bands).toEqual([{ ...stretch, sources: [], lost: [] }]);
  });

  test('means the AC side of a boat that has one', () => {
    expect(busesNow(scriptedPanel(EVENING_MS)).map(({ id }) => id)).not.toContain('dc-bus');
  });
});

describe('alerts behind the curves', () => {
  const alert = (fromMs: number, toMs: number | null) => {
    const [model] = PAST_ALERTS;
    if (model === undefined) throw new Error('There is no alert.');
    const { id, rule, subject, priority, title, phase } = model;
    return { id, rule, subject, priority, title, phase, fromMs, toMs };
  };

  test.each([
    [alert(500, 1200), [1000, 1200, false]],
    [alert(1500, null), [1500, 2000, true]],
    [alert(1500, 9000), [1500, 2000, true]],
  ])('are cut to the time shown', (given, [fromMs, toMs, isOpenEnded]) => {
    expect(alertBands({ alerts: [given] }, stretch)).toMatchObject([{ fromMs, toMs, isOpenEnded }]);
  });

  test('are left out where they stood at another time', () => {
    const alerts = [alert(0, 900), alert(2000, null)];
    expect(alertBands({ alerts }, stretch)).toEqual([]);
  });
});

describe('the list of what happened', () => {
  const events = [change(1100, 'house', 'generator', 'shore'), change(1900, 'house', 'shore', 'g')];
  const alerts = [
    { id: 'a', fromMs: 1500, priority: 'warning' as const, title: 'Bow inlet is overloaded' },
  ];

  test('has the newest first and each once', () => {
    const all = happeningsOf([...events, ...events], alerts);
    expect(all.map(({ atMs, priority }) => [atMs, priority])).toEqual([
      [1900, null],
      [1500, 'warning'],
      [1100, null],
    ]);
  });

  test('is searched by words in any order and case', () => {
    const all = happeningsOf(events, alerts);
    expect(holding(all, ' OVERLOADED bow').map(({ key }) => key)).toEqual(['a']);
    expect(holding(all, 'bow stern')).toEqual([]);
    expect(holding(all, '  ')).toHaveLength(3);
  });
});
