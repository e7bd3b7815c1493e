/** A person's word for a selector or main switch: it counts, it says so, and it gives way to readings. */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { createWatch, readBoat } from '../../../rules/index.ts';
import type { Boat, Evaluation, Watch } from '../../../rules/index.ts';

const url = new URL('../../fixtures/boats/small.yaml', import.meta.url);
const small = (): Boat => {
  const { boat } = readBoat(readFileSync(url, 'utf8'), 'small');
  if (!boat) throw new Error('the fixture is not usable');
  return boat;
};

/** Both sources live, next to nothing flows: the readings leave SHORE and GENERATOR alike. */
const ALIKE = {
  'inlet-volts': 120,
  'generator-volts': 121,
  'inlet-amps': 0,
  'generator-amps': 0,
  'panel-volts': 120,
  'panel-amps': 0.1,
};

/** Feeds the readings every second for `seconds`; the last evaluation, with all events. */
function run(
  watch: Watch,
  readings: Readonly<Record<string, number>>,
  fromMs: number,
  seconds: number,
): Evaluation {
  const all: Evaluation['panelEvents'] = [];
  let last: Evaluation | null = null;
  for (let atMs = fromMs; atMs < fromMs + seconds * 1000; atMs += 1000) {
    for (const [pointId, value] of Object.entries(readings)) watch.take({ pointId, value, atMs });
    last = watch.evaluate(atMs);
    all.push(...last.panelEvents);
  }
  if (!last) throw new Error('nothing was evaluated');
  return { ...last, panelEvents: all };
}

const selectorOf = ({ panel }: Evaluation) => panel.selectors.find((own) => own.id === 'source');
const busOf = ({ panel }: Evaluation) => panel.buses.find((own) => own.id === 'panel');

describe("a person's word", () => {
  test('settles what the readings leave open, for the selector and what hangs on it', () => {
    const watch = createWatch(small());
    expect(selectorOf(run(watch, ALIKE, 0, 2))?.position).toBeNull();
    watch.state('source', 'GENERATOR', 'Ines', 2000);
    const now = run(watch, ALIKE, 2000, 2);
    expect(selectorOf(now)).toMatchObject({ position: 'GENERATOR', evidence: 'stated' });
    expect(selectorOf(now)?.because.join(' ')).toContain(
      'Ines said that SOURCE stands on GENERATOR',
    );
    expect(busOf(now)).toMatchObject({ fedBy: 'generator', feedEvidence: 'stated' });
    expect(busOf(now)?.because).toHaveLength(2);
  });

  test('what the readings know without it stays inferred', () => {
    const watch = createWatch(small());
    watch.state('source', 'SHORE', 'Ines', 0);
    const now = run(watch, { ...ALIKE, 'generator-volts': 0 }, 0, 2);
    expect(selectorOf(now)).toMatchObject({ position: 'SHORE', evidence: 'inferred' });
  });

  test('is dropped once the readings contradict it for ten seconds, and that is on record', () => {
    const watch = createWatch(small());
    watch.state('source', 'GENERATOR', 'Ines', 0);
    const onShore = { ...ALIKE, 'panel-amps': 9, 'inlet-amps': 9 };
    const early = run(watch, onShore, 0, 10);
    expect(early.panelEvents).toEqual([]);
    expect(selectorOf(early)).toMatchObject({ position: 'SHORE', evidence: 'inferred' });
    const late = run(watch, onShore, 10_000, 5);
    expect(late.panelEvents).toEqual([
      {
        atMs: 10_000,
        type: 'stated',
        part: 'source',
        text: 'The readings contradict what Ines said, that SOURCE stands on GENERATOR; it counts no longer.',
      },
    ]);
  });

  test('a contradiction that passes within ten seconds costs it nothing', () => {
    const watch = createWatch(small());
    watch.state('source', 'GENERATOR', 'Ines', 0);
    run(watch, { ...ALIKE, 'panel-amps': 9, 'inlet-amps': 9 }, 0, 8);
    const after = run(watch, { ...ALIKE, 'panel-amps': 9, 'generator-amps': 9 }, 8000, 30);
    expect(after.panelEvents.filter((own) => own.type === 'stated')).toEqual([]);
    expect(selectorOf(run(watch, ALIKE, 38_000, 1))?.position).toBe('GENERATOR');
  });

  test('never makes anything dead: an open main switch that nobody measures is only said to be open', () => {
    const watch = createWatch(small());
    watch.state('main', 'open', 'Ines', 0);
    const now = run(watch, { 'inlet-volts': 120 }, 0, 1);
    expect(now.panel.mainSwitches[0]).toMatchObject({ position: 'open', evidence: 'stated' });
    expect(busOf(now)?.legs[0]?.live).toBe('unknown');
  });

  test('is kept over a restart, and can be taken back', () => {
    const watch = createWatch(small());
    watch.state('source', 'GENERATOR', 'Ines', 0);
    const again = createWatch(small(), watch.save(0));
    expect(selectorOf(run(again, ALIKE, 1000, 1))?.position).toBe('GENERATOR');
    again.state('source', null, 'Ines', 2000);
    expect(selectorOf(run(again, ALIKE, 2000, 1))?.position).toBeNull();
  });
});
