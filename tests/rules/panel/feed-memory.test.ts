/** A feed that the readings once told stays known, but only while no turn can have gone unseen. */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { createWatch, readBoat } from '../../../rules/index.ts';
import type { Boat, PanelState, Watch } from '../../../rules/index.ts';

const url = new URL('../../fixtures/boats/small.yaml', import.meta.url);
const small = (): Boat => {
  const { boat } = readBoat(readFileSync(url, 'utf8'), 'small');
  if (!boat) throw new Error('the fixture is not usable');
  return boat;
};

type Readings = Readonly<Record<string, number>>;

/** On shore with a load that tells it; the generator runs beside it, 3 V higher. */
const TOLD: Readings = {
  'inlet-volts': 119,
  'generator-volts': 122,
  'inlet-amps': 9,
  'generator-amps': 0,
  'panel-volts': 118.8,
  'panel-amps': 9,
};
/** The load has gone: the currents allow either source. */
const FADED: Readings = { ...TOLD, 'inlet-amps': 0.1, 'panel-amps': 0.1 };

/** One second after another, each with all its readings; the panel after the last. */
function play(watch: Watch, seconds: readonly Readings[], fromSecond: number): PanelState {
  let panel: PanelState | null = null;
  seconds.forEach((readings, i) => {
    const atMs = (fromSecond + i) * 1000;
    for (const [pointId, value] of Object.entries(readings)) watch.take({ pointId, value, atMs });
    ({ panel } = watch.evaluate(atMs));
  });
  if (!panel) throw new Error('nothing was played');
  return panel;
}

const times = (count: number, readings: Readings): Readings[] =>
  Array.from({ length: count }, () => readings);

/** A watch that has been told for a minute. */
function toldWatch(): Watch {
  const watch = createWatch(small());
  play(watch, times(60, TOLD), 0);
  return watch;
}

const positionOf = (panel: PanelState): string | null => panel.selectors[0]?.position ?? null;

describe('a feed that was told', () => {
  test('stays known long after the load has gone, as inferred, and says since when', () => {
    const panel = play(toldWatch(), times(1200, FADED), 60);
    expect(panel.selectors[0]).toMatchObject({ position: 'SHORE', evidence: 'inferred' });
    expect(panel.selectors[0]?.because).toEqual([
      'The readings told it 20 min ago, and Panel bus has had voltage without a break since.',
    ]);
    expect(panel.buses[0]).toMatchObject({ fedBy: 'inlet', feedEvidence: 'inferred' });
  });

  test('was never told: nothing is remembered', () => {
    expect(positionOf(play(createWatch(small()), times(60, FADED), 0))).toBeNull();
  });

  test.each([
    ['one dead voltage of the bus', [{ ...FADED, 'panel-volts': 0 }]],
    ['one doubtful voltage of the bus', [{ ...FADED, 'panel-volts': 66 }]],
    ['a source that goes', [{ ...FADED, 'generator-volts': 0 }]],
  ])('is forgotten after %s', (_, between) => {
    const watch = toldWatch();
    const panel = play(watch, [...times(30, FADED), ...between, ...times(5, FADED)], 60);
    expect(positionOf(panel)).toBeNull();
  });

  test('is forgotten after a dead voltage between two evaluations', () => {
    const watch = toldWatch();
    play(watch, times(5, FADED), 60);
    watch.take({ pointId: 'panel-volts', value: 0, atMs: 64_500 });
    expect(positionOf(play(watch, times(5, FADED), 65))).toBeNull();
  });

  test('is forgotten after three seconds without a voltage of the bus', () => {
    const { 'panel-volts': _, ...silent } = FADED;
    const panel = play(
      toldWatch(),
      [...times(5, FADED), ...times(3, silent), ...times(5, FADED)],
      60,
    );
    expect(positionOf(panel)).toBeNull();
  });

  test('is forgotten where a quick turn would show in nothing: no load, and equal voltages', () => {
    const alike = { ...FADED, 'generator-volts': 119.5 };
    expect(positionOf(play(toldWatch(), times(60, alike), 60))).toBeNull();
  });

  test('is forgotten when the bus follows the other voltage: a turn without a break to be seen', () => {
    const turned = { ...FADED, 'panel-volts': 121.8 };
    expect(
      positionOf(play(toldWatch(), [...times(60, FADED), ...times(5, turned)], 60)),
    ).toBeNull();
  });

  test('gives way when the currents of all clamps tell another', () => {
    const turned = { ...TOLD, 'inlet-amps': 0, 'generator-amps': 9, 'panel-volts': 121.8 };
    const panel = play(toldWatch(), [...times(60, FADED), ...times(4, turned)], 60);
    expect(positionOf(panel)).toBe('GENERATOR');
  });

  test('is not shaken by a load that one clamp has seen and the other has yet to see', () => {
    const ahead = { ...FADED, 'panel-amps': 6 };
    const both = { ...FADED, 'panel-amps': 1, 'inlet-amps': 1 };
    const panel = play(toldWatch(), [...times(60, FADED), ahead, ...times(5, both)], 60);
    expect(positionOf(panel)).toBe('SHORE');
  });

  test('is not kept over a restart: nobody watched meanwhile', () => {
    const watch = toldWatch();
    play(watch, times(5, FADED), 60);
    const again = createWatch(small(), watch.save(65_000));
    expect(positionOf(play(again, times(5, FADED), 66))).toBeNull();
  });
});
