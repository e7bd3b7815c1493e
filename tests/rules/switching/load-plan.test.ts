/**
 * What can still be switched on. The limits: a breaker's rating for loads of minutes, 80 % of it
 * for loads of three hours and more (NEC 210.20(A)); a motor starts with about six times its running
 * current (common practice, from memory). The 5 % margin is our own.
 */
import { describe, expect, it } from 'vitest';
import { loadPlan } from '../../../rules/index.ts';
import type { Boat, LoadAnswer, LoadPlan } from '../../../rules/index.ts';
import { panelOf, planBoat } from './plan-boat.ts';
import type { Scene } from './plan-boat.ts';

const boat = planBoat();

const planOf = (scene: Scene, of: Boat = boat): LoadPlan => loadPlan(of, panelOf(of, scene));

function answerTo(label: string, scene: Scene, of: Boat = boat): LoadAnswer {
  const found = planOf(scene, of).answers.find((answer) => answer.label === label);
  if (!found) throw new Error(`Nothing is said of ${label}.`);
  return found;
}

describe('amperes', () => {
  // 30 A inlet: 28.5 A with the margin; the kettle draws 10 A for minutes.
  it.each([
    [18.4, 'fits'],
    [18.5, 'fits'],
    [18.6, 'does not fit'],
    [30, 'does not fit'],
  ])('a kettle beside %d A: %s', (base, verdict) => {
    expect(answerTo('Kettle', { amps: { base } }).verdict).toBe(verdict);
  });

  // The same current for hours: 80 % of 30 A is 24 A.
  it.each([
    [13.9, 'fits'],
    [14, 'fits'],
    [14.1, 'does not fit'],
  ])('a fan heater beside %d A: %s', (base, verdict) => {
    expect(answerTo('Fan heater', { amps: { base } }).verdict).toBe(verdict);
  });

  it('an IEC boat may carry its rating for hours, less the margin', () => {
    const iec = planBoat((text) => text.replace('hertz: 60', 'hertz: 50'));
    expect(answerTo('Fan heater', { amps: { base: 18.5 } }, iec).verdict).toBe('fits');
    expect(answerTo('Fan heater', { amps: { base: 18.6 } }, iec).verdict).toBe('does not fit');
  });

  // The outlets' own breaker: 20 A, 19 A with the margin.
  it.each([
    [9, 'fits'],
    [9.1, 'does not fit'],
  ])('a kettle on outlets that draw %d A: %s', (outlets, verdict) => {
    const answer = answerTo('Kettle', { amps: { outlets } });
    expect(answer.verdict).toBe(verdict);
    if (verdict !== 'fits') expect(answer.because).toMatch(/^Outlets: 19.1 A then, too near/);
  });

  it('counts what no circuit explains', () => {
    expect(answerTo('Kettle', { busAmps: 18.5 }).verdict).toBe('fits');
    expect(answerTo('Kettle', { busAmps: 18.6 }).verdict).toBe('does not fit');
  });

  it('counts all that a breaker lets through where nothing else is known', () => {
    const answer = answerTo('Spare outlet', { amps: { base: 9 } });
    expect(answer).toMatchObject({ amps: 15, from: 'breaker', verdict: 'fits' });
    expect(answerTo('Spare outlet', { amps: { base: 9.1 } }).verdict).toBe('does not fit');
  });

  it('counts the larger of what was learned and what the file says', () => {
    const learned = (amps: number) =>
      answerTo('Heater', { habits: { heater: { runningAmps: amps } } });
    expect(learned(13)).toMatchObject({ amps: 13, from: 'learned' });
    expect(learned(11)).toMatchObject({ amps: 12, from: 'boat file' });
  });
});

describe('what may come on by itself', () => {
  const rested = {
    heater: { lastDay: { dutyRatio: 0.2, coverageRatio: 1, starts: 4, runMinutes: 200 } },
  };
  it('keeps room for a heater that ran today, and names it', () => {
    // 12 A kept + 10 A = 22 A of 28.5 A: 6.5 A are left.
    expect(answerTo('Kettle', { amps: { base: 6.5 }, habits: rested }).verdict).toBe('fits');
    const answer = answerTo('Kettle', { amps: { base: 6.6 }, habits: rested });
    expect(answer).toMatchObject({ verdict: 'fits if off', ifOff: ['heater'] });
    expect(answer.because).toBe(
      'Inlet: 28.6 A then, too near its rating of 30.0 A, with room kept for Heater.',
    );
  });

  it('keeps none for one that did not run all day, nor for what must be switched by hand', () => {
    const of = planBoat((text) =>
      text.replace('ampsRunning: 12,', 'ampsRunning: 12, startsByItself: false,'),
    );
    expect(answerTo('Kettle', { amps: { base: 18.5 } }).verdict).toBe('fits');
    expect(answerTo('Kettle', { amps: { base: 18.5 }, habits: rested }, of).verdict).toBe('fits');
  });

  it('keeps room for what nobody watched long enough', () => {
    const lastDay = { dutyRatio: 0, coverageRatio: 0.49, starts: 0, runMinutes: 0 };
    const answer = answerTo('Kettle', { amps: { base: 18 }, habits: { heater: { lastDay } } });
    expect(answer).toMatchObject({ verdict: 'fits if off', ifOff: ['heater'] });
  });

  it('tells what is left of a source, and for whom room is kept', () => {
    const [room] = planOf({ amps: { base: 5 }, habits: rested }).rooms;
    expect(room).toMatchObject({ source: 'inlet', reservedFor: ['heater'] });
    // 24 A for hours, less 5 A and 12 A.
    expect(room?.legs).toEqual([
      { leg: 'L', ampsRated: 30, ampsNow: 5, ampsReserved: 12, ampsRoom: expect.closeTo(7, 9) },
    ]);
  });
});

describe('what has to be off', () => {
  it('is first in the shedding order that is enough', () => {
    const answer = answerTo('Kettle', { amps: { base: 1, heater: 12, air: 10, pump: 3 } });
    expect(answer).toMatchObject({ verdict: 'fits if off', ifOff: ['heater'] });
  });

  it('may be two, and is never what others need or what the file does not rank', () => {
    const answer = answerTo('Kettle', { amps: { base: 14, heater: 12, air: 10, pump: 3 } });
    expect(answer).toMatchObject({ verdict: 'fits if off', ifOff: ['heater', 'air'] });
    expect(answerTo('Kettle', { amps: { base: 25, pump: 3 } }).verdict).toBe('does not fit');
  });

  it('is one that must not run beside it, either way round', () => {
    const dryer = answerTo('Dryer', { amps: { heater: 12 } });
    expect(dryer).toMatchObject({ verdict: 'fits if off', ifOff: ['heater'] });
    expect(dryer.because).toBe('It must not run together with Heater.');
    expect(answerTo('Heater', { amps: { dryer: 11 } }).ifOff).toEqual(['dryer']);
    expect(answerTo('Dryer', {}).verdict).toBe('fits');
  });
});

describe('what must be so first', () => {
  it('reckons with the circuit that it requires, and names it', () => {
    // 10 A + 3 A beside 11 A make 24 A.
    const answer = answerTo('Air conditioner', { amps: { base: 11 } });
    expect(answer).toMatchObject({ verdict: 'fits', first: ['pump'] });
    expect(answerTo('Air conditioner', { amps: { base: 11.1 } }).verdict).toBe('does not fit');
    expect(answerTo('Air conditioner', { amps: { base: 11, pump: 3 } })).toMatchObject({
      verdict: 'fits',
      first: [],
    });
  });

  it('does not know where the one it requires or must not meet is not measured', () => {
    const air = answerTo('Air conditioner', { amps: { pump: null } });
    expect(air).toMatchObject({
      verdict: 'not known',
      because: expect.stringMatching(/Cooling pump/),
    });
    const dryer = answerTo('Dryer', { amps: { heater: null } });
    expect(dryer).toMatchObject({ verdict: 'not known', because: expect.stringMatching(/Heater/) });
  });

  it('obeys standing orders', () => {
    expect(answerTo('Ice maker', {}).verdict).toBe('stays off');
    expect(answerTo('Press', {}).verdict).toBe('stays off');
  });

  it('needs voltage, a known source and a known load', () => {
    expect(answerTo('Kettle', { source: 'nothing' }).verdict).toBe('no voltage');
    const blind = answerTo('Kettle', { busAmps: null, amps: { base: null } });
    expect(blind.verdict).toBe('not known');
    const own = answerTo('Kettle', { busAmps: 3, amps: { outlets: null } });
    expect(own).toMatchObject({
      verdict: 'not known',
      because: 'What Outlets carries now is not known.',
    });
  });

  it('says nothing of what runs already', () => {
    const labels = planOf({ amps: { heater: 12 } }).answers.map(({ label }) => label);
    expect(labels).not.toContain('Heater');
    expect(labels).toContain('Kettle');
  });
});

describe('a generator', () => {
  // 3.6 kW at 120 V: 30 A; a start may bring it to 45 A for an instant.
  it('must bear the start of a motor', () => {
    const pump = (base: number) =>
      answerTo('Cooling pump', { source: 'generator', amps: { base } });
    expect(pump(25.5).verdict).toBe('fits');
    // 3 A x 6 beside 27 A make 45 A; beside that the running current is still within 28.5 A.
    const air = answerTo('Air conditioner', { source: 'generator', amps: { base: 1, pump: 3 } });
    expect(air.verdict).toBe('does not fit');
    expect(air.because).toBe('Generator: 64.0 A for an instant at its start, at most 45.0 A.');
    expect(answerTo('Air conditioner', { amps: { base: 1, pump: 3 } }).verdict).toBe('fits');
  });

  it('has a limit of power besides its amperes', () => {
    const of = planBoat((text) => text.replace('kilowatts: 3.6', 'kilowatts: 3.6, amps: 40'));
    // 28.5 A x 120 V are 95 % of 3.6 kW, though the winding may carry 40 A.
    const kettle = (base: number) =>
      answerTo('Kettle', { source: 'generator', amps: { base } }, of);
    expect(kettle(18.5).verdict).toBe('fits');
    expect(kettle(18.6)).toMatchObject({
      verdict: 'does not fit',
      because: expect.stringMatching(/Generator: 3.4 k(VA|W) then, too near its rating of 3.6/),
    });
  });
});
