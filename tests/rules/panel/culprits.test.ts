/**
 * Sensors that lie, each in one way, on a boat whose other sensors are sound: the one that lies is
 * named, and the finding says so.
 */
import { describe, expect, test } from 'vitest';
import { createWatch, readBoat } from '../../../rules/index.ts';
import type { AlertEvent, Boat, PanelState, Watch } from '../../../rules/index.ts';

const point = (of: string, quantity: string, leg?: string) => ({
  of,
  quantity,
  ...(leg === undefined ? {} : { leg }),
  mqtt: { topic: `t/${of}/${quantity}/${leg ?? ''}` },
  everySeconds: 1,
});

/** Split phase, one inlet, a generator, one bus: every clamp and voltmeter there could be. */
function boatOf(): Boat {
  const legs = ['L1', 'L2'];
  const ends = ['inlet', 'generator', 'panel'];
  const circuits = { heater: 'L1', kettle: 'L1', oven: 'L1', washer: 'L2' };
  const points = {
    ...Object.fromEntries(
      ends.flatMap((of) =>
        legs.flatMap((leg) =>
          ['volts', 'amps'].map((quantity) => [
            `${of}-${leg}-${quantity}`.toLowerCase(),
            point(of, quantity, leg),
          ]),
        ),
      ),
    ),
    ...Object.fromEntries(
      Object.entries(circuits).map(([id, leg]) => [`${id}-amps`, point(id, 'amps', leg)]),
    ),
    'washer-watts': point('washer', 'watts', 'L2'),
    'source-position': point('source', 'position'),
  };
  const text = JSON.stringify({
    boat: { name: 'Liar' },
    system: { ac: { kind: 'split phase', volts: 120, hertz: 60, legs } },
    sources: {
      inlet: { kind: 'shore inlet', label: 'Inlet', amps: 50 },
      generator: { kind: 'generator', label: 'Generator', kilowatts: 8, fuel: 'diesel' },
    },
    selectors: {
      source: {
        label: 'SOURCE',
        positions: { SHORE: 'inlet', OFF: 'nothing', GENERATOR: 'generator' },
      },
    },
    buses: { panel: { label: 'Panel bus', from: 'source', amps: 50 } },
    circuits: Object.fromEntries(
      Object.entries(circuits).map(([id, leg]) => [
        id,
        {
          label: id.charAt(0).toUpperCase() + id.slice(1),
          bus: 'panel',
          leg,
          breaker: { amps: 20 },
          load: id === 'washer' ? 'motor' : 'resistive',
        },
      ]),
    ),
    points,
    intake: { mqtt: { broker: 'embedded', port: 1883 } },
  });
  const { boat, problems } = readBoat(text, 'liar');
  if (!boat) throw new Error(problems.map((own) => own.message).join('\n'));
  return boat;
}

type Loads = Partial<Record<'heater' | 'kettle' | 'oven' | 'washer', number>>;

/** What sound sensors say on shore; a wobble in the last digit, as all of them have. */
function sound(loads: Loads, atMs: number): Record<string, number | string> {
  const { heater = 0, kettle = 0, oven = 0, washer = 0 } = loads;
  const wobble = ((atMs / 1000) % 7) / 100;
  const one = heater + kettle + oven;
  return {
    'inlet-l1-volts': 120 + wobble,
    'inlet-l2-volts': 120.3 - wobble,
    'inlet-l1-amps': one,
    'inlet-l2-amps': washer,
    'generator-l1-volts': 0,
    'generator-l2-volts': 0,
    'generator-l1-amps': 0,
    'generator-l2-amps': 0,
    'panel-l1-volts': 119.5 + wobble,
    'panel-l2-volts': 119.8 - wobble,
    'panel-l1-amps': one,
    'panel-l2-amps': washer,
    'heater-amps': heater,
    'kettle-amps': kettle,
    'oven-amps': oven,
    'washer-amps': washer,
    'washer-watts': washer * 96,
    'source-position': 'SHORE',
  };
}

interface Seen {
  panel: PanelState;
  events: AlertEvent[];
}

/** Plays loads, each for 15 s, with `lie` bending what the sensors say. */
function play(
  plan: readonly Loads[],
  lie: (readings: Record<string, number | string>, atMs: number) => Record<string, number | string>,
  watch: Watch = createWatch(boatOf()),
): Seen {
  const events: AlertEvent[] = [];
  let panel: PanelState | null = null;
  for (let second = 0; second < plan.length * 15; second++) {
    const atMs = 1_000_000 + second * 1000;
    const readings = lie(sound(plan[Math.floor(second / 15)] ?? {}, atMs), atMs);
    for (const [pointId, value] of Object.entries(readings)) watch.take({ pointId, value, atMs });
    const evaluation = watch.evaluate(atMs);
    events.push(...evaluation.alertEvents);
    ({ panel } = evaluation);
  }
  if (!panel) throw new Error('nothing was played');
  return { panel, events };
}

const ON_AND_OFF: Loads[] = Array.from({ length: 6 }, () => [
  { oven: 2 },
  { oven: 2, heater: 12 },
  { oven: 2, heater: 12, washer: 6 },
  { oven: 2, heater: 12, washer: 6, kettle: 10 },
  { oven: 2, washer: 6, kettle: 10 },
  { oven: 2, kettle: 10 },
]).flat();

const culprits = ({ panel }: Seen) =>
  panel.contradictions.map(
    ({ culprit }) => culprit && { kind: culprit.kind, points: culprit.points },
  );

describe('the culprit is named', () => {
  test('sound sensors: nothing is wrong, however often loads are switched', () => {
    const seen = play(ON_AND_OFF, (own) => own);
    expect(culprits(seen)).toEqual([]);
    expect(seen.events.filter((own) => own.alert.rule === 'contradiction')).toEqual([]);
  });

  test('a dead voltage sensor on the bus', () => {
    const seen = play([{ heater: 12 }, { heater: 12 }, { heater: 12 }], (own) => ({
      ...own,
      'panel-l1-volts': 0,
    }));
    expect(culprits(seen)).toEqual([{ kind: 'dead sensor', points: ['panel-l1-volts'] }]);
    const raised = seen.events.find((own) => own.alert.rule === 'contradiction');
    expect(raised?.alert.title).toBe('A sensor of Panel bus seems to be dead');
    expect(raised?.alert.means).toContain('the voltage sensor of Panel bus on leg L1 is dead');
  });

  test('a frozen voltage sensor: the bus says 119.5 V after everything else has gone', () => {
    const seen = play([{ heater: 5 }, { heater: 4 }, {}, {}, {}], (own, atMs) => {
      const isGone = atMs >= 1_030_000;
      const off = Object.fromEntries(Object.keys(own).map((id) => [id, 0]));
      return isGone ? { ...off, 'panel-l1-volts': 119.52, 'source-position': 'SHORE' } : own;
    });
    expect(culprits(seen)).toEqual([{ kind: 'frozen sensor', points: ['panel-l1-volts'] }]);
  });

  test('a backfeed: the bus moves about 118 V while every source reads none', () => {
    const seen = play([{}, {}, {}, {}], (own, atMs) => ({
      ...own,
      'inlet-l1-volts': 0,
      'inlet-l2-volts': 0,
      'panel-l1-volts': 118 + ((atMs / 1000) % 9) / 10,
      'panel-l2-volts': 118 + ((atMs / 1000) % 11) / 10,
    }));
    expect(culprits(seen)[0]?.kind).toBe('backfeed');
    const raised = seen.events.find((own) => own.type === 'raised');
    expect(raised?.alert.priority).toBe('alarm');
    expect(raised?.alert.title).toBe('Panel bus has voltage that no source of the boat explains');
    expect(raised?.alert.means).toContain('Inlet and Generator');
  });

  test("a clamp that reads its neighbour's current on a dead bus", () => {
    const seen = play([{}, {}, {}, {}], (own) => ({
      ...own,
      'inlet-l1-volts': 0,
      'inlet-l2-volts': 0,
      'panel-l1-volts': 0,
      'panel-l2-volts': 0,
      'kettle-amps': 4,
    }));
    expect(culprits(seen)).toEqual([{ kind: 'clamp on the wrong wire', points: ['kettle-amps'] }]);
  });

  test('current without voltage at a source', () => {
    const seen = play([{ heater: 12 }, { heater: 12 }], (own) => ({ ...own, 'inlet-l1-volts': 0 }));
    expect(culprits(seen)).toContainEqual({ kind: 'dead sensor', points: ['inlet-l1-volts'] });
  });

  test('a reversed clamp: a load that gives power back', () => {
    const seen = play([{ washer: 6 }, { washer: 6 }, { washer: 6 }], (own) => ({
      ...own,
      'washer-watts': -570,
    }));
    expect(culprits(seen)).toEqual([{ kind: 'reversed clamp', points: ['washer-watts'] }]);
  });

  test("a circuit's clamp that reads double is told from its neighbours' (wrong burden)", () => {
    const seen = play(ON_AND_OFF, (own) => ({
      ...own,
      'kettle-amps': Number(own['kettle-amps']) * 2,
    }));
    expect(culprits(seen)).toEqual([{ kind: 'wrong scale', points: ['kettle-amps'] }]);
    expect(seen.panel.contradictions[0]?.culprit?.text).toContain('2.0 times too much');
  });

  test("the bus's own clamp that reads double is told by all its circuits", () => {
    const seen = play(ON_AND_OFF, (own) => ({
      ...own,
      'panel-l1-amps': Number(own['panel-l1-amps']) * 2,
    }));
    expect(culprits(seen)).toContainEqual({ kind: 'wrong scale', points: ['panel-l1-amps'] });
    const raised = seen.events.find((own) => own.alert.rule === 'contradiction');
    expect(raised?.alert.priority).toBe('caution');
  });

  test('a clamp on the wrong leg: the washer steps on the other feeder', () => {
    const seen = play(ON_AND_OFF, (own) => ({
      ...own,
      'panel-l1-amps': Number(own['panel-l1-amps']) + Number(own['washer-amps']),
      'panel-l2-amps': 0,
    }));
    expect(culprits(seen)).toContainEqual({
      kind: 'clamp on the wrong leg',
      points: ['washer-amps'],
    });
  });

  test('two clamps that are exchanged: each circuit steps on the leg of the other', () => {
    const seen = play(ON_AND_OFF, (own) => ({
      ...own,
      'washer-amps': own['kettle-amps'] ?? 0,
      'kettle-amps': own['washer-amps'] ?? 0,
    }));
    expect(culprits(seen)).toEqual([
      { kind: 'swapped clamps', points: ['kettle-amps', 'washer-amps'] },
    ]);
    const raised = seen.events.find((own) => own.alert.rule === 'contradiction');
    expect(raised?.alert.priority).toBe('caution');
  });

  test('one clamp under two names: the same to the last digit, change after change', () => {
    const twice = (own: Record<string, number | string>, atMs: number) => {
      const amps = 9 + ((atMs / 1000) % 97) / 100;
      return {
        ...own,
        'oven-amps': 2.13 + ((atMs / 1000) % 89) / 100,
        'heater-amps': amps,
        'kettle-amps': amps,
      };
    };
    const short = play([{ oven: 2, heater: 9 }], twice);
    expect(culprits(short)).not.toContainEqual(
      expect.objectContaining({ kind: 'duplicated clamp' }),
    );
    const seen = play(
      Array.from({ length: 4 }, () => ({ oven: 2, heater: 9 })),
      twice,
    );
    expect(culprits(seen)).toContainEqual({
      kind: 'duplicated clamp',
      points: ['heater-amps', 'kettle-amps'],
    });
  });

  test('two clamps that agree now and then are two', () => {
    const seen = play(
      Array.from({ length: 8 }, () => ({ heater: 9, kettle: 9 })),
      (own, atMs) => ({
        ...own,
        'heater-amps': 9 + ((atMs / 1000) % 5) / 100,
        'kettle-amps': 9 + ((atMs / 1000) % 6) / 100,
      }),
    );
    expect(culprits(seen)).not.toContainEqual(
      expect.objectContaining({ kind: 'duplicated clamp' }),
    );
  });

  test('what a sensor repeats that hangs is no evidence, and one alert tells it', () => {
    const hours = Array.from({ length: 20 }, () => ({ heater: 5 }));
    const seen = play(hours, (own, atMs) => {
      const isGone = atMs >= 1_180_000;
      const isLost = atMs >= 1_215_000;
      const off = Object.fromEntries(Object.keys(own).map((id) => [id, 0]));
      const told = isLost ? { ...off, 'source-position': 'SHORE' } : own;
      return isGone ? { ...told, 'panel-l1-volts': 119.52 } : told;
    });
    expect(culprits(seen)).toEqual([]);
    expect(seen.panel.buses[0]?.legs[0]?.live).not.toBe('live');
    const rules = seen.events
      .filter(({ type }) => type === 'raised')
      .map(({ alert }) => alert.rule)
      .filter((rule) => rule === 'contradiction' || rule === 'sensor-frozen');
    expect(rules).toEqual(['sensor-frozen']);
  });

  test('what was learned of the clamps outlives a restart', () => {
    const double = (own: Record<string, number | string>) => ({
      ...own,
      'kettle-amps': Number(own['kettle-amps']) * 2,
    });
    const boat = boatOf();
    const watch = createWatch(boat);
    play(ON_AND_OFF, double, watch);
    const saved = JSON.parse(JSON.stringify(watch.save(2_000_000)));
    const again = createWatch(boat, saved).evaluate(2_001_000).panel.contradictions;
    expect(again.map((own) => own.culprit?.points)).toEqual([['kettle-amps']]);
  });
});
