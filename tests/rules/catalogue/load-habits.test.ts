/** Rules that compare a circuit with its own habits, played over days and weeks. */
import { describe, expect, it } from 'vitest';
import { DAY_MINUTES, Voyage } from './loads-boat.ts';
import type { Values } from './loads-boat.ts';

/** On for `run` minutes of every `cycle`, rest first. */
const cycling = (minute: number, run: number, cycle: number, amps: number): number =>
  minute % cycle >= cycle - run ? amps : 0;

/** A healthy fridge: 15 minutes an hour. */
const HEALTHY: Values = (minute) => ({ 'fridge-amps': cycling(minute, 15, 60, 2) });
const LEARNED = 4 * DAY_MINUTES;
const learned = new Voyage(3).until(LEARNED, HEALTHY);

const shortBursts =
  (run: number): Values =>
  (minute) => ({ 'fridge-amps': cycling(minute - LEARNED, run, 7, 2) });

describe('short cycling', () => {
  it('is told at the fourth short run of a motor that usually runs far longer', () => {
    const voyage = learned.copy(1).until(LEARNED + 60, shortBursts(2));
    expect(voyage.keys).toEqual(['short-cycling.fridge']);
    // The bursts end at 7, 14, 21 and 28 minutes.
    expect(voyage.raised[0]?.minute).toBe(LEARNED + 28);
    const { alert } = voyage.raised[0] ?? {};
    expect(alert?.priority).toBe('warning');
    expect(alert?.title).toBe('Fridge has stopped 4 times within 30 min after short runs');
    expect(alert?.means).toContain('It ran for 2 min at a time; usually it runs for 15 min');
  });

  it('is not told at work, when a motor is switched on and off to try it', () => {
    const voyage = learned.copy(1).mode('work in progress', 60);
    expect(voyage.until(LEARNED + 59, shortBursts(2)).keys).toEqual([]);
  });

  it('is not told of runs of three minutes', () => {
    const voyage = learned.copy(1).until(LEARNED + 180, shortBursts(3));
    expect(voyage.keys).toEqual([]);
  });

  it('is not told while the usual run is not known, nor of what always runs briefly', () => {
    const bursts: Values = (minute) => ({ 'fridge-amps': cycling(minute, 2, 7, 2) });
    expect(new Voyage().until(600, bursts).keys).toEqual([]);
    expect(new Voyage().until(4 * DAY_MINUTES, bursts).keys).toEqual([]);
  });

  it('outlives a restart, is held while the meter is silent, and ends when no short run is left', () => {
    const voyage = learned.copy(1).until(LEARNED + 20, shortBursts(2));
    voyage.restart().until(LEARNED + 30, shortBursts(2));
    expect(voyage.open).toEqual(['short-cycling.fridge warning']);
    voyage.until(LEARNED + 40, () => ({}));
    expect(voyage.open).toEqual(['short-cycling.fridge warning held']);
    voyage.until(LEARNED + 120, () => ({ 'fridge-amps': 0 }));
    expect(voyage.open).toEqual([]);
  });
});

/** A heater of 39 minutes in the morning and in the evening. */
const HEATING: Values = (minute) => ({ 'heater-amps': cycling(minute, 39, 720, 12) });
const SIX_DAYS = 6 * DAY_MINUTES;
const heated = new Voyage(3).until(SIX_DAYS, HEATING);
const heatingFor =
  (minutes: number): Values =>
  (minute) => ({ 'heater-amps': minute - SIX_DAYS < minutes ? 12 : 0 });

describe('a run far longer than usual', () => {
  it('is told after two hours and three times its own longest run', () => {
    const voyage = heated.copy(1).until(SIX_DAYS + 300, heatingFor(300));
    expect(voyage.keys).toEqual(['long-run.heater']);
    // The last 39 minutes of the sixth day are a run already.
    expect(voyage.raised[0]?.minute).toBe(SIX_DAYS - 39 + 121);
    const { alert } = voyage.raised[0] ?? {};
    expect(alert?.title).toBe('Heater has run for 2 h 1 min, far longer than usual');
    expect(alert?.means).toContain('On a normal day its longest run lasts 39 min');
  });

  it('is not told at two hours, and is over when the load stops', () => {
    const voyage = heated.copy(1).until(SIX_DAYS + 300, heatingFor(81));
    expect(voyage.keys).toEqual([]);
    const longer = heated.copy(1).until(SIX_DAYS + 110, heatingFor(100));
    expect(longer.keys).toEqual(['long-run.heater']);
    expect(longer.open).toEqual([]);
  });

  it('is not told of a load that always runs for hours', () => {
    const always: Values = (minute) => ({ 'heater-amps': cycling(minute, 300, 1440, 12) });
    const voyage = new Voyage(3).until(SIX_DAYS, always).until(SIX_DAYS + 600, heatingFor(420));
    expect(voyage.keys).toEqual([]);
  });

  it('counts no gap: a silent meter makes no run longer', () => {
    const voyage = heated.copy(1);
    voyage.until(SIX_DAYS + 200, () => ({}));
    voyage.until(SIX_DAYS + 300, heatingFor(300));
    expect(voyage.keys).toEqual([]);
    voyage.until(SIX_DAYS + 330, heatingFor(330));
    expect(voyage.keys).toEqual(['long-run.heater']);
  });
});

describe('a cold box that never stops', () => {
  it('is told after six hours without a stop, once, and over a restart', () => {
    const voyage = new Voyage()
      .until(LEARNED, HEALTHY)
      .until(LEARNED + 300, () => ({ 'fridge-amps': 2 }));
    expect(voyage.restart().keys).toEqual([]);
    voyage.until(LEARNED + 345, () => ({ 'fridge-amps': 2 }));
    expect(voyage.keys).toEqual([]);
    voyage.until(LEARNED + 720, () => ({ 'fridge-amps': 2 }));
    expect(voyage.keys).toEqual(['never-stops.fridge']);
    expect(voyage.alert('never-stops.fridge').priority).toBe('warning');
    voyage.until(LEARNED + 725, () => ({ 'fridge-amps': 0 }));
    expect(voyage.open).toEqual([]);
  });
});

/**
 * Cycles of 150 minutes in steps of ten, running for a share of the time that goes from one value to
 * another over six weeks after two. What a cycle cannot show is made up for in the next.
 */
function drift(from: number, to: number): Values {
  const share = (cycle: number): number => {
    const weeks = Math.max(0, (cycle * 150) / DAY_MINUTES - 14) / 42;
    return from + (to - from) * Math.min(1, weeks);
  };
  const runs: number[] = [];
  let owed = 0;
  for (let cycle = 0; cycle <= (56 * DAY_MINUTES) / 150; cycle++) {
    owed += share(cycle) * 15;
    runs.push(Math.floor(owed) * 10);
    owed -= Math.floor(owed);
  }
  return (minute) => ({
    'freezer-amps': cycling(minute, runs[Math.floor(minute / 150)] ?? 0, 150, 2),
  });
}

describe('duty that drifts over six weeks', () => {
  it('is a caution when a fault takes it from 38 to 62 percent', () => {
    const voyage = new Voyage(10).until(56 * DAY_MINUTES, drift(0.38, 0.62));
    expect(voyage.keys).toEqual(['duty-drift.freezer']);
    expect(voyage.raised[0]?.alert.priority).toBe('caution');
    expect(voyage.raised[0]?.alert.title).toMatch(
      /^Freezer now runs 5\d % of the time; it was 38 %$/,
    );
    // Before the six weeks are over.
    expect(voyage.raised[0]?.minute).toBeLessThan(56 * DAY_MINUTES);
  });

  it('is nothing when the season takes it from 38 to 45 percent', () => {
    expect(new Voyage(10).until(56 * DAY_MINUTES, drift(0.38, 0.45)).keys).toEqual([]);
  });
});

describe('an order to be on, once the habits are known', () => {
  it('is broken 45 minutes after the longest normal rest, not before', () => {
    const voyage = learned.copy(1);
    voyage.until(LEARNED + 90, () => ({ 'fridge-amps': 0 }));
    expect(voyage.keys).toEqual([]);
    voyage.until(LEARNED + 92, () => ({ 'fridge-amps': 0 }));
    expect(voyage.keys).toEqual(['standing-order.fridge']);
    const { alert } = voyage.raised[0] ?? {};
    expect(alert?.title).toBe('Fridge should be on and has drawn nothing for 90 min');
    expect(alert?.means).toContain('On a normal day it rests 45 min at most.');
  });
});

const sockets =
  (from: number, minutes: number): Values =>
  (minute) => ({ 'outlets-amps': minute >= from && minute < from + minutes ? 9 : 0 });

describe('left on with nobody aboard', () => {
  it('is told after half an hour away, and is over when somebody is aboard', () => {
    const voyage = new Voyage().until(60, sockets(60, 0)).mode('away');
    voyage.until(90, sockets(60, 400));
    expect(voyage.keys).toEqual([]);
    voyage.until(200, sockets(60, 400));
    expect(voyage.keys).toEqual(['left-on.outlets']);
    expect(voyage.raised[0]?.minute).toBe(90);
    expect(voyage.raised[0]?.alert.title).toBe('Nobody aboard, and Outlets draws 9.0 A, 1080 W');
    voyage.mode('aboard').until(210, sockets(60, 400));
    expect(voyage.open).toEqual([]);
  });

  it('is not told aboard, nor of 29 minutes', () => {
    expect(new Voyage().until(600, sockets(60, 400)).keys).toEqual([]);
    const away = new Voyage().mode('away').until(600, sockets(60, 29));
    expect(away.keys).toEqual([]);
  });

  it('is not told of what should be on', () => {
    const voyage = new Voyage().mode('away');
    expect(voyage.until(600, HEALTHY).keys).toEqual([]);
  });

  it('outlives a restart while pending, and is held while the meter is silent', () => {
    const voyage = new Voyage().mode('away').until(20, sockets(0, 400));
    voyage.restart().until(40, sockets(0, 400));
    expect(voyage.open).toEqual(['left-on.outlets warning']);
    voyage.until(60, () => ({}));
    expect(voyage.open).toEqual(['left-on.outlets warning held']);
  });
});
