/** What moves together, as a whole watch sees it: told with its reason, and over when it must be. */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { createWatch, readBoat } from '../../../../rules/index.ts';
import type { Boat, PanelState, Watch } from '../../../../rules/index.ts';
import { sensor, wandering } from './series.ts';

const text = readFileSync(new URL('../../../fixtures/boats/small.yaml', import.meta.url), 'utf8');
const HERTZ = ['inlet', 'generator', 'panel']
  .map((of) => `  ${of}-hertz: { of: ${of}, quantity: hertz, mqtt: { topic: t/${of}/hz } }\n`)
  .join('');

function boatOf(written: string): Boat {
  const { boat, problems } = readBoat(written, 'small');
  if (!boat) throw new Error(problems.map((own) => own.message).join('\n'));
  return boat;
}

type Readings = Readonly<Record<string, number>>;

/** The inlet at 119 V, the generator at 122 V; the bus on one of them, with so many amperes. */
const on = (source: 'inlet' | 'generator', amps: number): Readings => ({
  'inlet-volts': 119,
  'generator-volts': 122,
  'panel-volts': source === 'inlet' ? 118.8 : 121.8,
  'panel-amps': amps,
  'inlet-amps': source === 'inlet' ? amps : 0,
  'generator-amps': source === 'generator' ? amps : 0,
});

class Player {
  readonly watch: Watch;
  second = 0;

  constructor(boat: Boat) {
    this.watch = createWatch(boat);
  }

  /** Goes on for so many seconds, with what is read at each; the panel after the last. */
  play(
    seconds: number,
    readings: Readings | (() => Readings),
    look: (panel: PanelState, since: number) => void = () => {},
  ): PanelState {
    let last: PanelState | null = null;
    for (let since = 1; since <= seconds; since += 1) {
      this.second += 1;
      const atMs = this.second * 1000;
      const now = typeof readings === 'function' ? readings() : readings;
      for (const [pointId, value] of Object.entries(now)) {
        this.watch.take({ pointId, value, atMs });
      }
      last = this.watch.evaluate(atMs).panel;
      look(last, since);
    }
    if (!last) throw new Error('nothing was played');
    return last;
  }
}

const DARK: Readings = { ...on('inlet', 0), 'panel-volts': 0 };
const positionOf = (panel: PanelState): string | null => panel.selectors[0]?.position ?? null;

describe('the distance that the bus keeps', () => {
  /** Eleven minutes on the inlet under load, then seen to be turned to the generator, unloaded. */
  function turned(): Player {
    const player = new Player(boatOf(text));
    player.play(700, on('inlet', 9));
    player.play(3, DARK);
    return player;
  }

  test('tells the generator once the bus is where it never was on the inlet', () => {
    const player = turned();
    const before = player.play(10, on('generator', 0.1));
    expect(positionOf(before)).toBeNull();
    const panel = player.play(110, on('generator', 0.1));
    expect(panel.selectors[0]).toMatchObject({ position: 'GENERATOR', evidence: 'inferred' });
    expect(panel.selectors[0]?.because.join(' ')).toMatch(
      /^For the last \d min the voltage of Panel bus has been another than ever while Inlet fed it\.$/,
    );
    expect(panel.buses[0]).toMatchObject({ fedBy: 'generator', feedEvidence: 'inferred' });
  });

  test('is nothing where the inlet has never been seen to feed it', () => {
    const player = new Player(boatOf(text));
    expect(positionOf(player.play(200, on('generator', 0.1)))).toBeNull();
  });

  test('ends within seconds of a turn that no reading saw', () => {
    const player = turned();
    expect(positionOf(player.play(120, on('generator', 0.1)))).toBe('GENERATOR');
    const wrongAt: number[] = [];
    player.play(120, on('inlet', 0.1), (panel, since) => {
      if (positionOf(panel) === 'GENERATOR') wrongAt.push(since);
    });
    expect(Math.max(0, ...wrongAt)).toBeLessThanOrEqual(5);
  });
});

describe('steps at once', () => {
  const steps = (player: Player, source: 'inlet' | 'generator', times: number): PanelState => {
    let panel = player.play(15, on(source, 0.5));
    for (let at = 0; at < times; at += 1) {
      panel = player.play(20, on(source, at % 2 === 0 ? 0.95 : 0.5));
    }
    return panel;
  };

  test('three tell the source; fewer do not', () => {
    const player = new Player(boatOf(text));
    expect(positionOf(steps(player, 'generator', 2))).toBeNull();
    const panel = steps(player, 'generator', 2);
    expect(panel.selectors[0]).toMatchObject({ position: 'GENERATOR', evidence: 'inferred' });
    expect(panel.selectors[0]?.because.join(' ')).toContain(
      'the current of Panel bus has stepped and that of Generator by as much in the same moment',
    );
  });

  test('are forgotten after one dead voltage', () => {
    const player = new Player(boatOf(text));
    steps(player, 'generator', 4);
    player.play(1, DARK);
    expect(positionOf(player.play(20, on('generator', 0.5)))).toBeNull();
  });

  test('are forgotten when a person says otherwise, who may have turned it just now', () => {
    const player = new Player(boatOf(text));
    steps(player, 'generator', 4);
    player.watch.state('source', 'SHORE', 'Ada', player.second * 1000);
    expect(player.play(30, on('inlet', 0.5)).selectors[0]).toMatchObject({
      position: 'SHORE',
      evidence: 'stated',
    });
  });
});

test('voltages that ripple alike tell the source, with nothing drawn and equal levels', () => {
  const inlet = wandering(120, 0.8, 20, 11);
  const generator = wandering(120, 0.5, 4, 12);
  const [a, b, c] = [13, 14, 15].map((seed) => sensor(0.1, 0.01, seed));
  const readings = (): Readings => {
    const [shore, engine] = [inlet(), generator()];
    return {
      ...on('inlet', 0.5),
      'inlet-volts': a?.(shore) ?? 0,
      'generator-volts': b?.(engine) ?? 0,
      'panel-volts': c?.(shore - 0.1) ?? 0,
    };
  };
  const said = new Set<string>();
  const panel = new Player(boatOf(text)).play(600, readings, (seen) => {
    expect(positionOf(seen)).not.toBe('GENERATOR');
    if (positionOf(seen) === 'SHORE') said.add(seen.selectors[0]?.because.join(' ') ?? '');
  });
  expect(panel.selectors[0]).toMatchObject({ position: 'SHORE', evidence: 'inferred' });
  expect([...said][0]).toMatch(
    /^The voltage of Panel bus has moved with that of Inlet for the last \d+ min, and with that of no other live source\.$/,
  );
});

test('the frequency of a bus tells the one source that has it', () => {
  const player = new Player(boatOf(text.replace('points:\n', `points:\n${HERTZ}`)));
  const engine = wandering(61.4, 0.05, 4, 21);
  const panel = player.play(120, () => {
    const hertz = engine();
    const all = { 'inlet-hertz': 60, 'generator-hertz': hertz, 'panel-hertz': hertz };
    return { ...on('generator', 0.5), ...all };
  });
  expect(panel.selectors[0]).toMatchObject({ position: 'GENERATOR', evidence: 'inferred' });
  expect(panel.selectors[0]?.because.join(' ')).toMatch(
    /^The frequency of Panel bus has been that of Generator for the last (minute|\d min), /,
  );
});
