import { describe, expect, it } from 'vitest';
import type { BatteryState } from '../../daemon/api/contract.ts';
import { english } from '../../dashboard/texts/english/index.ts';
import { lengthOf, plainTitle, suppliesOf } from '../../dashboard/models/plain-words.ts';
import { scriptedPanel } from '../browser/scripted-panel.ts';

const panel = scriptedPanel(1_800_000_000_000);
const [bank] = panel.batteries;
if (!bank) throw new Error('no battery');

const batteryWith = (low: number | null, amps: number | null): BatteryState => ({
  ...bank,
  amps: { value: amps, evidence: amps === null ? 'unknown' : 'measured', ageMs: 0 },
  hoursLeft: low === null ? null : { low, high: low * 2 },
});

describe('for somebody who has never been aboard', () => {
  it('names each supply once, and says when it is not known', () => {
    expect(suppliesOf(panel, 'ac')).toEqual(['shore inlet']);
    expect(suppliesOf(panel, 'dc')).toEqual(['battery']);
    const dark = panel.buses.map((bus) => Object.assign({}, bus, { fedBy: null }));
    expect(suppliesOf({ ...panel, buses: dark }, 'ac')).toEqual(['nothing']);
    const unknown = panel.buses.map((bus) => Object.assign({}, bus, { fedByIsKnown: false }));
    expect(suppliesOf({ ...panel, buses: unknown }, 'ac')).toEqual(['unknown']);
  });

  it.each([
    [1.9, -5, 'hardly'],
    [2, -5, 'some hours'],
    [9.9, -5, 'some hours'],
    [10, -5, 'a night'],
    [23.9, -5, 'a night'],
    [24, -5, 'more than a day'],
    [null, -5, 'unknown'],
    [1, 5, 'charging'],
    [null, null, 'unknown'],
  ])('%s hours at %s A: %s', (low, amps, expected) => {
    expect(lengthOf(batteryWith(low, amps))).toBe(expected);
  });

  it('tells no figures of an alert', () => {
    expect(plainTitle({ title: 'Bow inlet is overloaded: 54 A of 50 A' })).toBe(
      'Bow inlet is overloaded',
    );
    expect(plainTitle({ title: 'Generator has run for 3 hours' })).toBeNull();
  });

  it('has no figures in its own words', () => {
    const { steps, ...words } = english.guest;
    const said = JSON.stringify([words, steps.stay, steps.water('it'), steps.asked('it')]);
    expect(said).not.toMatch(/\d/);
  });
});
