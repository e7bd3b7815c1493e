import { describe, expect, it } from 'vitest';
import type { Circuit, Point } from '../../../rules/boat/boat.ts';
import { boatOf, DEMO_BOATS, demoText, linesOf } from './boat-texts.ts';

describe('the demo boats', () => {
  it.each(DEMO_BOATS)('%s reads without error and without warning', (name) => {
    expect(linesOf(demoText(name))).toEqual([]);
  });

  it('Sable Plover is a split phase boat with two selectors in a chain and two AC buses', () => {
    const boat = boatOf(demoText('sable-plover'));
    expect(boat.name).toBe('Sable Plover');
    expect(boat.ac).toEqual({ kind: 'split phase', volts: 120, hertz: 60, legs: ['L1', 'L2'] });
    expect(boat.dc).toEqual({ volts: 12 });
    expect(boat.sources.map(({ id }) => id)).toEqual([
      'bow-inlet',
      'stern-inlet',
      'large-generator',
      'small-generator',
      'solar-arch',
    ]);
    expect(boat.parts.get('supply-selector')).toEqual({
      part: 'selector',
      id: 'supply-selector',
      label: 'SUPPLY',
      system: 'ac',
      positions: new Map([
        ['SHORE', 'shore-selector'],
        ['OFF', null],
        ['GENERATOR', 'large-generator'],
      ]),
    });
    expect(boat.buses.map(({ id, system, legs }) => [id, system, legs])).toEqual([
      ['climate-bus', 'ac', ['L1', 'L2']],
      ['house-bus', 'ac', ['L1', 'L2']],
      ['dc-bus', 'dc', ['DC']],
    ]);
    expect(boat.circuits).toHaveLength(18);
    expect([...boat.parts.keys()]).toHaveLength(5 + 3 + 3 + 3 + 1 + 18);
  });

  it('Willow Dipper is a single phase boat whose charger waits for shore power', () => {
    const boat = boatOf(demoText('willow-dipper'));
    expect(boat.ac).toEqual({ kind: 'single phase', volts: 230, hertz: 50, legs: ['L'] });
    const charger: Circuit = {
      part: 'circuit',
      id: 'charger',
      label: 'Battery charger',
      system: 'ac',
      position: 'S1',
      bus: 'shore-bus',
      legs: ['L'],
      breaker: { ampsRated: 10, kind: 'IEC C' },
      conductor: {
        squareMillimetres: 1.5,
        insulationCelsius: 90,
        isInEngineSpace: false,
        bundled: 2,
        lengthMetres: 4,
      },
      load: 'charger',
      ampsRunning: 6,
      drawingAmps: 0.5,
      requires: [],
      excludes: [],
      standingOrder: 'should be on',
      standingOrderWhenFedBy: 'shore',
      charges: 'service-bank',
    };
    expect(boat.parts.get('charger')).toEqual(charger);
    const isolator: Point = {
      id: 'dc-isolator-position',
      of: 'dc-isolator',
      quantity: 'switch',
      address: { via: 'mqtt', topic: 'boat/dc/isolator' },
      scale: 1,
      offset: 0,
      sign: 1,
      unit: '',
      words: new Map([
        ['ON', 'closed'],
        ['OFF', 'open'],
      ]),
      expectedEveryMs: 10_000,
      min: -Infinity,
      max: Infinity,
    };
    expect(boat.points.get('dc-isolator-position')).toEqual(isolator);
  });

  it('rates generators and inverters in amperes per leg', () => {
    const [, , large, small] = boatOf(demoText('sable-plover')).sources;
    // Two legs of 120 V: 12 kW / 240 V and 5 kW / 240 V.
    expect(large).toMatchObject({ kind: 'generator', ampsRated: 50 });
    expect(small).toMatchObject({ kind: 'generator', ampsRated: expect.closeTo(20.833, 3) });
    // 3 kW / 230 V.
    const [, inverter] = boatOf(demoText('willow-dipper')).sources;
    expect(inverter).toMatchObject({ kind: 'inverter', ampsRated: expect.closeTo(13.043, 3) });
  });
});
