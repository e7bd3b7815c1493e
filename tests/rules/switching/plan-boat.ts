/** A boat for load plans, and a panel of it from amperes and positions. */
import { createWatch, readBoat } from '../../../rules/index.ts';
import type { Boat, CircuitState, PanelState } from '../../../rules/index.ts';

/** Ratings are round, so that every limit can be met to the tenth of an ampere. */
const TEXT = `
boat: { name: Plan Boat }
system:
  ac: { kind: single phase, volts: 120, hertz: 60, legs: [L] }
sources:
  inlet: { kind: shore inlet, label: Inlet, amps: 30 }
  generator: { kind: generator, label: Generator, kilowatts: 3.6, fuel: diesel }
selectors:
  source:
    label: SOURCE
    positions: { SHORE: inlet, 'OFF': nothing, GENERATOR: generator }
switches:
  main: { label: MAIN, from: source, breaker: { amps: 40 } }
buses:
  panel: { label: Panel bus, from: main, amps: 60 }
circuits:
  pump: { label: Cooling pump, bus: panel, breaker: { amps: 10 }, load: motor, ampsRunning: 3 }
  air: { label: Air conditioner, bus: panel, breaker: { amps: 20 }, load: motor, ampsRunning: 10, requires: [pump], shedding: 2 }
  heater: { label: Heater, bus: panel, breaker: { amps: 20 }, load: resistive, ampsRunning: 12, shedding: 1 }
  dryer: { label: Dryer, bus: panel, breaker: { amps: 20 }, load: mixed, ampsRunning: 11, excludes: [heater] }
  base: { label: Base load, bus: panel, breaker: { amps: 40 }, load: electronics }
  anything: { label: Spare outlet, bus: panel, breaker: { amps: 15 }, load: mixed }
  outlets:
    label: Outlets
    bus: panel
    breaker: { amps: 20 }
    load: mixed
    appliances: [{ label: Kettle, amps: 10, minutes: 6 }, { label: Fan heater, amps: 10 }]
  ice: { label: Ice maker, bus: panel, breaker: { amps: 10 }, load: motor, ampsRunning: 2, standingOrder: leave off }
  press: { label: Press, bus: panel, breaker: { amps: 10 }, load: motor, standingOrder: out of service }
points:
  source-position: { of: source, quantity: position, mqtt: { topic: t/source } }
  main-position: { of: main, quantity: switch, mqtt: { topic: t/main } }
  inlet-volts: { of: inlet, quantity: volts, mqtt: { topic: t/inlet, pointer: /v } }
  generator-volts: { of: generator, quantity: volts, mqtt: { topic: t/generator, pointer: /v } }
  panel-volts: { of: panel, quantity: volts, mqtt: { topic: t/panel, pointer: /v } }
  panel-amps: { of: panel, quantity: amps, mqtt: { topic: t/panel, pointer: /a } }
  pump-amps: { of: pump, quantity: amps, mqtt: { topic: t/pump } }
  air-amps: { of: air, quantity: amps, mqtt: { topic: t/air } }
  heater-amps: { of: heater, quantity: amps, mqtt: { topic: t/heater } }
  dryer-amps: { of: dryer, quantity: amps, mqtt: { topic: t/dryer } }
  base-amps: { of: base, quantity: amps, mqtt: { topic: t/base } }
  anything-amps: { of: anything, quantity: amps, mqtt: { topic: t/anything } }
  outlets-amps: { of: outlets, quantity: amps, mqtt: { topic: t/outlets } }
  ice-amps: { of: ice, quantity: amps, mqtt: { topic: t/ice } }
  press-amps: { of: press, quantity: amps, mqtt: { topic: t/press } }
intake: { mqtt: { broker: embedded, port: 1883 } }
`;

export function planBoat(change: (text: string) => string = (text) => text): Boat {
  const { boat, problems } = readBoat(change(TEXT), 'plan');
  if (!boat) throw new Error(JSON.stringify(problems));
  return boat;
}

export interface Scene {
  /** Amperes by circuit; what is not named draws nothing; null: its sensor says nothing. */
  amps?: Readonly<Record<string, number | null>>;
  source?: 'inlet' | 'generator' | 'nothing';
  /** Total on the bus where it is not the sum of the circuits; null: not measured. */
  busAmps?: number | null;
  /** What of a circuit's habits or activity is otherwise than fresh readings tell. */
  habits?: Readonly<Record<string, Partial<CircuitState['habits']>>>;
}

const AT_MS = 1_800_000_000_000;
/** As after a whole day in which nothing ran: what rests now is off. */
const SEEN = { dutyRatio: 0, coverageRatio: 1, starts: 0, runMinutes: 0 };

/** The panel as the rules make it out of readings of one instant. */
export function panelOf(
  boat: Boat,
  { amps = {}, source = 'inlet', busAmps, habits }: Scene,
): PanelState {
  const watch = createWatch(boat);
  const volts = (isLive: boolean): number => (isLive ? 120 : 0);
  const total = boat.circuits.reduce((sum, { id }) => sum + (amps[id] ?? 0), 0);
  const carried = busAmps === undefined ? total : busAmps;
  const position = { inlet: 'SHORE', generator: 'GENERATOR', nothing: 'OFF' }[source];
  const readings: [string, number | string | null][] = [
    ['source-position', position],
    ['main-position', 'closed'],
    ['inlet-volts', volts(source === 'inlet')],
    ['generator-volts', volts(source === 'generator')],
    ['panel-volts', volts(source !== 'nothing')],
    ['panel-amps', carried],
    ...boat.circuits.map(({ id }): [string, number | null] => [
      `${id}-amps`,
      amps[id] === undefined ? 0 : amps[id],
    ]),
  ];
  for (const atMs of [AT_MS - 10_000, AT_MS]) {
    for (const [pointId, value] of readings) {
      if (value !== null) watch.take({ pointId, value, atMs });
    }
    watch.evaluate(atMs);
  }
  const { panel } = watch.evaluate(AT_MS);
  return {
    ...panel,
    circuits: panel.circuits.map((circuit) => {
      const own = { ...circuit.habits, lastDay: SEEN, ...habits?.[circuit.id] };
      return Object.assign({}, circuit, { habits: own });
    }),
  };
}
