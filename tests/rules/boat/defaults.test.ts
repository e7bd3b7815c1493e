/** What a boat file may leave out, and what then holds. */
import { describe, expect, it } from 'vitest';
import type { Point } from '../../../rules/boat/boat.ts';
import { limitsWith } from '../../../rules/boat/limits.ts';
import { boatOf } from './boat-texts.ts';

/** Everything that can be left out is left out. */
const SHORT = `
boat: { name: Heron }
system:
  ac: { kind: split phase, volts: 120, hertz: 60 }
  dc: { volts: 12 }
sources:
  shore: { kind: shore inlet, amps: 50, cord: { awg: 6, insulationCelsius: 75 } }
  set: { kind: generator, kilowatts: 6, fuel: diesel }
  inverter: { kind: inverter, kilowatts: 2.4, battery: bank }
selectors:
  supply: { positions: { SHORE: shore, SET: set, INVERTER: inverter } }
switches:
  main: { from: supply, breaker: { amps: 50 } }
buses:
  panel: { from: main }
  dc-panel: { from: bank }
batteries:
  bank: { chemistry: agm, volts: 12, ampHours: 400 }
circuits:
  heater: { bus: panel, leg: L1, breaker: { amps: 15 }, load: resistive }
  lamp: { bus: dc-panel, breaker: { amps: 10 }, load: electronics }
points:
  shore-volts: { of: shore, leg: L1, quantity: volts, mqtt: { topic: shore } }
  bank-volts: { of: bank, quantity: volts, mqtt: { topic: bank } }
  bank-celsius: { of: bank, quantity: celsius, marineData: { path: a.temperature } }
  set-celsius: { of: set, quantity: celsius, mqtt: { topic: set } }
intake:
  marineData: { url: 'ws://127.0.0.1:3000/stream' }
`;

/** The same boat with every default written out. */
const LONG = `
boat: { name: Heron }
system:
  ac: { kind: split phase, volts: 120, hertz: 60, legs: [L1, L2] }
  dc: { volts: 12 }
sources:
  shore:
    kind: shore inlet
    label: shore
    amps: 50
    legs: [L1, L2]
    cord: { awg: 6, insulationCelsius: 75, isInEngineSpace: false, bundled: 2 }
  set:
    { kind: generator, label: set, kilowatts: 6, kilovoltAmps: 6, amps: 25, legs: [L1, L2], fuel: diesel }
  inverter:
    { kind: inverter, label: inverter, kilowatts: 2.4, amps: 10, legs: [L1, L2], battery: bank }
selectors:
  supply: { label: supply, positions: { SHORE: shore, SET: set, INVERTER: inverter } }
switches:
  main: { label: main, from: supply, breaker: { amps: 50, kind: UL 489 } }
buses:
  panel: { label: panel, from: main, legs: [L1, L2] }
  dc-panel: { label: dc-panel, from: bank, legs: [DC] }
batteries:
  bank: { label: bank, chemistry: agm, volts: 12, ampHours: 400 }
circuits:
  heater:
    label: heater
    bus: panel
    legs: [L1]
    breaker: { amps: 15, kind: UL 489 }
    load: resistive
    drawingAmps: 0.5
    requires: []
    excludes: []
  lamp:
    { label: lamp, bus: dc-panel, leg: DC, breaker: { amps: 10, kind: UL 489 }, load: electronics }
points:
  shore-volts:
    of: shore
    leg: L1
    quantity: volts
    mqtt: { topic: shore }
    unit: V
    scale: 1
    offset: 0
    sign: 1
    everySeconds: 1
    min: -6
    max: 300
  bank-volts: { of: bank, leg: DC, quantity: volts, mqtt: { topic: bank }, unit: V, min: -0.6, max: 30 }
  bank-celsius:
    { of: bank, quantity: celsius, marineData: { path: a.temperature }, unit: K, min: -60, max: 300 }
  set-celsius: { of: set, quantity: celsius, mqtt: { topic: set }, unit: C, min: -60, max: 300 }
limits: { drawingAmps: 0.5, overloadSeconds: 30 }
intake:
  mqtt: { broker: embedded, port: 1883 }
  marineData: { url: 'ws://127.0.0.1:3000/stream' }
`;

describe('defaults', () => {
  it('give the same boat as writing them out', () => {
    expect(boatOf(SHORT)).toEqual(boatOf(LONG));
  });

  it('leave nothing undefined behind, which is not the same as absent', () => {
    for (const part of boatOf(SHORT).parts.values()) {
      expect(Object.entries(part).filter(([, value]) => value === undefined)).toEqual([]);
    }
  });

  it('take all limits from the table, and override one by one', () => {
    expect(boatOf(SHORT).limits).toEqual(limitsWith());
    const boat = boatOf(`${SHORT}limits: { overloadSeconds: 12, drawingAmps: 0.8 }\n`);
    expect(boat.limits).toEqual({ ...limitsWith(), overloadSeconds: 12, drawingAmps: 0.8 });
    expect(boat.circuits.map(({ drawingAmps }) => drawingAmps)).toEqual([0.8, 0.8]);
  });

  it('take the breakers of Europe at 50 Hz', () => {
    const boat = boatOf(`
boat: { name: Heron }
system: { ac: { kind: single phase, volts: 230, hertz: 50 } }
sources: { shore: { kind: shore inlet, amps: 16 } }
buses: { panel: { from: shore } }
circuits: { heater: { bus: panel, breaker: { amps: 10 }, load: resistive } }
`);
    expect(boat.ac?.legs).toEqual(['L']);
    expect(boat.circuits[0]?.breaker).toEqual({ ampsRated: 10, kind: 'IEC C' });
    expect(boat.intake).toEqual({ mqtt: { broker: 'embedded', port: 1883 } });
    expect(boat.dc).toBeNull();
  });

  it('give a bus the legs that its supply has', () => {
    const boat = boatOf(`
boat: { name: Heron }
system: { ac: { kind: split phase, volts: 120, hertz: 60 } }
sources: { shore: { kind: shore inlet, amps: 30, legs: [L2] } }
buses: { panel: { from: shore } }
circuits: { heater: { bus: panel, breaker: { amps: 10 }, load: resistive } }
points: { volts: { of: panel, quantity: volts, mqtt: { topic: t } } }
`);
    expect(boat.buses[0]?.legs).toEqual(['L2']);
    expect(boat.circuits[0]?.legs).toEqual(['L2']);
    expect(boat.points.get('volts')?.leg).toBe('L2');
  });
});

describe('what the file says in other words', () => {
  it('rates a generator by its apparent power: 20 kW at power factor 0.8 is 104.17 A of 240 V', () => {
    // Worked example of single-phase generator sizing: 25 kVA / 240 V.
    const boat = boatOf(SHORT.replace('kilowatts: 6,', 'kilowatts: 20, kilovoltAmps: 25,'));
    const [, set] = boat.sources;
    expect(set).toMatchObject({ voltAmpsRated: 25_000, ampsRated: expect.closeTo(104.17, 2) });
  });

  it('takes feet for metres: 50 ft are 15.24 m', () => {
    const boat = boatOf(
      SHORT.replace('insulationCelsius: 75 }', 'insulationCelsius: 75, lengthFeet: 50 }'),
    );
    expect(boat.sources[0]).toMatchObject({ cord: { lengthMetres: expect.closeTo(15.24, 10) } });
  });

  it('takes numbers for words where the panel has numbers', () => {
    const boat = boatOf(SHORT.replace('heater: { bus', 'heater: { position: 4, bus'));
    expect(boat.circuits[0]?.position).toBe('4');
  });

  it('keeps selector positions in the order of the panel, numbers too', () => {
    const boat = boatOf(
      SHORT.replace('{ SHORE: shore, SET: set,', "{ SHORE: shore, 2: set, 'OFF': nothing, 1: set,"),
    );
    const positions = boat.selectors[0]?.positions ?? new Map<string, string | null>();
    expect([...positions]).toEqual([
      ['SHORE', 'shore'],
      ['2', 'set'],
      ['OFF', null],
      ['1', 'set'],
      ['INVERTER', 'inverter'],
    ]);
  });

  it('reads OFF without quotes as OFF, as YAML 1.2 has it', () => {
    const boat = boatOf(SHORT.replace('{ SHORE: shore,', '{ OFF: nothing, SHORE: shore,'));
    expect([...(boat.selectors[0]?.positions.keys() ?? [])][0]).toBe('OFF');
  });

  it('keeps all that a point says', () => {
    const boat = boatOf(
      SHORT.replace(
        'mqtt: { topic: shore } }',
        'mqtt: { topic: shore, pointer: /a~1b/0 }, unit: mV, scale: 2, offset: -1, sign: -1, everySeconds: 0.25, min: -400, max: 400 }',
      ),
    );
    const expected: Point = {
      id: 'shore-volts',
      of: 'shore',
      quantity: 'volts',
      leg: 'L1',
      address: { via: 'mqtt', topic: 'shore', pointer: '/a~1b/0' },
      unit: 'mV',
      scale: 2,
      offset: -1,
      sign: -1,
      expectedEveryMs: 250,
      min: -400,
      max: 400,
    };
    expect(boat.points.get('shore-volts')).toEqual(expected);
  });

  it('takes an outside broker, with the name of a user but never a password', () => {
    const boat = boatOf(
      SHORT.replace(
        'intake:',
        "intake:\n  mqtt: { broker: 'mqtts://broker.example:8883', username: crew }",
      ),
    );
    expect(boat.intake).toEqual({
      mqtt: { broker: 'mqtts://broker.example:8883', username: 'crew' },
      marineData: { url: 'ws://127.0.0.1:3000/stream' },
    });
  });
});
