import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  circuitsShown,
  needsLook,
  queryOf,
  readChoice,
  SORTS,
  STATES,
  type CircuitChoice,
} from '../../dashboard/models/circuit-list.ts';
import { scriptedPanel } from '../browser/scripted-panel.ts';

const panel = scriptedPanel(1_800_000_000_000);
const choice = (more: Partial<CircuitChoice> = {}): CircuitChoice => ({
  ...readChoice(''),
  ...more,
});
const idsOf = (more: Partial<CircuitChoice>, energies = new Map<string, number>()): string[] =>
  circuitsShown(panel, choice(more), energies).map(({ id }) => id);

describe('the address', () => {
  it('gives back what was chosen, whatever somebody typed', () => {
    const choices = fc.record({
      bus: fc.option(fc.string({ minLength: 1 })),
      state: fc.constantFrom(...STATES),
      text: fc.string(),
      sort: fc.constantFrom(...SORTS),
      open: fc.option(fc.string({ minLength: 1 })),
    });
    fc.assert(
      fc.property(choices, (given) => {
        expect(readChoice(queryOf(given))).toEqual(given);
      }),
    );
  });

  it('is empty for the panel as it is, and survives nonsense', () => {
    expect(queryOf(choice())).toBe('');
    expect(readChoice('state=broken&sort=colour')).toEqual(choice());
  });
});

describe('what is shown', () => {
  it('is all circuits in the order of the boat file', () => {
    expect(idsOf({})).toEqual(panel.circuits.map(({ id }) => id));
  });

  it('is cut by bus, by state, and by words in label, place or note', () => {
    expect(idsOf({ bus: 'dc-bus' })).toEqual(['bilge-pump', 'cabin-lights']);
    expect(idsOf({ state: 'unknown' })).toEqual([
      'battery-charger',
      'saloon-outlets',
      'cabin-lights',
    ]);
    expect(idsOf({ text: 'cabin AIR' })).toEqual(['owner-air', 'guest-air']);
    expect(idsOf({ text: 'c-5' })).toEqual(['cooker']);
    expect(idsOf({ text: 'strainer' })).toEqual(['raw-water-pump']);
    expect(idsOf({ text: 'nowhere' })).toEqual([]);
  });

  it('puts the largest first, and what is not known last', () => {
    const byLoad = idsOf({ sort: 'load' });
    expect(byLoad.slice(0, 3)).toEqual(['laundry', 'saloon-air', 'galley-outlets']);
    expect(byLoad.slice(-3)).toEqual(['battery-charger', 'saloon-outlets', 'cabin-lights']);
    expect(idsOf({ sort: 'share' })[0]).toBe('laundry');
    expect(idsOf({ sort: 'since' })[0]).toBe('galley-outlets');
    expect(idsOf({ sort: 'label' })[0]).toBe('guest-air');
    const energies = new Map([
      ['cooker', 900],
      ['refrigerator', 1200],
      ['bilge-pump', 0],
    ]);
    expect(idsOf({ sort: 'energy' }, energies).slice(0, 3)).toEqual([
      'refrigerator',
      'cooker',
      'bilge-pump',
    ]);
  });

  it('does not change the panel', () => {
    const before = panel.circuits.map(({ id }) => id);
    idsOf({ sort: 'load' });
    expect(panel.circuits.map(({ id }) => id)).toEqual(before);
  });
});

describe('what needs a look', () => {
  const circuit = panel.circuits[0];
  if (!circuit) throw new Error('no circuit');
  it.each([
    [{}, false],
    [{ live: 'dead' as const }, true],
    [{ loadRatio: { value: 1, evidence: 'measured' as const, ageMs: 0 } }, false],
    [{ loadRatio: { value: 1.01, evidence: 'measured' as const, ageMs: 0 } }, true],
    [{ standingOrder: 'should be on' as const, activity: 'not drawing' as const }, true],
    [{ standingOrder: 'should be on' as const, activity: 'unknown' as const }, false],
    [{ standingOrder: 'leave off' as const, activity: 'drawing' as const }, true],
    [{ standingOrder: 'leave off' as const, activity: 'not drawing' as const }, false],
  ])('%j: %s', (more, expected) => {
    expect(needsLook({ ...circuit, ...more })).toBe(expected);
  });
});
