/** A pump that weakens while it runs: a strainer that clogs over six days, and a pump run dry. */
import { describe, expect, it } from 'vitest';
import { DAY_MINUTES, Voyage } from './loads-boat.ts';
import type { Values } from './loads-boat.ts';

const HEALTHY_DAYS = 14;
const WEAK = 'weak-prerequisite.pump';

interface Fault {
  /** Change at the end of six days, and whether the pump has a watt meter. */
  pumpWatts?: number;
  pumpAmps: number;
  compressors: number;
  volts?: number;
}

const SOUND: Fault = { pumpWatts: 0, pumpAmps: 0, compressors: 0 };

/** Small and repeatable, as large as a clamp's own noise. */
const wobble = (minute: number): number => 1 + 0.01 * Math.sin(minute * 1.7);

/** Cooling from nine to one o'clock, both units, every day; from day 14 on the fault grows. */
const cooling =
  ({ pumpWatts, pumpAmps, compressors, volts = 0 }: Fault): Values =>
  (minute) => {
    const share = Math.min(1, Math.max(0, minute / DAY_MINUTES - HEALTHY_DAYS) / 6);
    const isOn = minute % DAY_MINUTES >= 540 && minute % DAY_MINUTES < 780;
    const at = (base: number, change: number): number =>
      isOn ? base * (1 + change * share) * wobble(minute) : 0;
    return {
      'panel-a-volts': 120 * (1 + volts * share),
      'panel-b-volts': 120 * (1 + volts * share),
      'pump-amps': at(3, pumpAmps),
      'pump-watts': pumpWatts === undefined ? null : at(285, pumpWatts),
      'saloon-air-amps': at(10, compressors),
      'cabin-air-amps': at(8, compressors),
    };
  };

/** Two healthy weeks, with a watt meter at the pump and without. */
const metered = new Voyage(3).until(HEALTHY_DAYS * DAY_MINUTES, cooling(SOUND));
const unmetered = new Voyage(3).until(
  HEALTHY_DAYS * DAY_MINUTES,
  cooling({ pumpAmps: 0, compressors: 0 }),
);

const play = (fault: Fault, days = HEALTHY_DAYS + 6): Voyage =>
  (fault.pumpWatts === undefined ? unmetered : metered)
    .copy()
    .until(days * DAY_MINUTES, cooling(fault));
const dayOf = (voyage: Voyage): number =>
  (voyage.raised.find((own) => own.key === WEAK)?.minute ?? Infinity) / DAY_MINUTES - HEALTHY_DAYS;

describe('a strainer that clogs over six days', () => {
  it('is a caution within the fifth day, by the watts of the pump', () => {
    const voyage = play({ pumpWatts: -0.25, pumpAmps: -0.06, compressors: 0.09 });
    expect(voyage.keys).toEqual([WEAK]);
    expect(voyage.raised[0]?.alert.priority).toBe('caution');
    expect(dayOf(voyage)).toBeGreaterThan(3);
    expect(dayOf(voyage)).toBeLessThan(5);
    expect(voyage.raised[0]?.alert.title).toMatch(
      /^Cooling pump is getting weaker: 28\d W usually, 2[34]\d W now$/,
    );
    expect(voyage.raised[0]?.alert.means).toContain('Saloon air and Cabin air draw');
  });

  it('is a caution within the sixth day by amperes alone, since the compressors creep up', () => {
    const voyage = play({ pumpAmps: -0.06, compressors: 0.09 });
    expect(voyage.keys).toEqual([WEAK]);
    expect(dayOf(voyage)).toBeGreaterThan(4);
    expect(dayOf(voyage)).toBeLessThan(6);
  });

  it('is not told by amperes of the pump alone, nor of the compressors alone', () => {
    expect(play({ pumpAmps: -0.06, compressors: 0 }).keys).toEqual([]);
    expect(play({ pumpAmps: 0, compressors: 0.12 }).keys).toEqual([]);
  });

  it('is not told while the watts fall by a tenth only', () => {
    expect(play({ pumpWatts: -0.1, pumpAmps: -0.02, compressors: 0.02 }).keys).toEqual([]);
  });

  it('is not told of a dock whose volts sag, which makes every motor draw more', () => {
    const sag = { volts: -0.09, pumpAmps: 0.1, compressors: 0.1 };
    expect(play(sag).keys).toEqual([]);
    expect(play({ ...sag, pumpWatts: 0 }).keys).toEqual([]);
  });

  it('outlives a restart, and ends once the strainer is clean', () => {
    const fault: Fault = { pumpWatts: -0.25, pumpAmps: -0.06, compressors: 0.09 };
    const voyage = play(fault, HEALTHY_DAYS + 4).restart();
    voyage.until((HEALTHY_DAYS + 6) * DAY_MINUTES, cooling(fault));
    expect(voyage.open).toEqual([`${WEAK} caution`]);
    voyage.until((HEALTHY_DAYS + 7) * DAY_MINUTES, cooling(SOUND));
    expect(voyage.open).toEqual([]);
  });
});

describe('a pump that runs dry', () => {
  const dry =
    (share: number): Values =>
    (minute) => ({
      ...cooling(SOUND)(minute),
      'pump-watts': 285 * share * wobble(minute),
    });
  const NOON = HEALTHY_DAYS * DAY_MINUTES + 720;

  const noon = (): Voyage => metered.copy().until(NOON, cooling(SOUND));

  it('is a warning within minutes, and says so in watts', () => {
    // Dry, a centrifugal pump takes 40 to 50 % less power (an engineering forum's digest).
    const voyage = noon().until(NOON + 9, dry(0.55));
    expect(voyage.open).toEqual([`${WEAK} warning`]);
    expect(voyage.alert(WEAK).title).toMatch(
      /^Cooling pump runs without its load: 285 W usually, 15\d W now$/,
    );
  });

  it('is not told at 70 percent of its watts, and is held while the meters are silent', () => {
    expect(noon().until(NOON + 30, dry(0.7)).open).toEqual([]);
    const voyage = noon().until(NOON + 9, dry(0.55));
    voyage.until(NOON + 30, () => ({}));
    expect(voyage.open).toEqual([`${WEAK} warning held`]);
  });
});
