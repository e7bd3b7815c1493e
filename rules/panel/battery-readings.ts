/** What the sensors of a battery say at this instant; what is remembered of it is added later. */
import type { Battery } from '../boat/boat.ts';
import type { Instant } from './instant.ts';
import { derive, firstKnown, later } from './known.ts';
import type { BatteryState, Known } from './panel-state.ts';

/** What `batteries.ts` fills in, which knows the hours before. */
const NOT_REMEMBERED = {
  floorRatio: 0,
  hoursLeft: null,
  hoursLeftBecause: '',
  drainAmps: null,
  usualDrainAmps: null,
  lastFullMs: null,
  watchedSinceFullMs: 0,
  learnedCapacity: null,
} as const;

export function batteryReadings(
  { latest, nowMs }: Pick<Instant, 'latest' | 'nowMs'>,
  battery: Battery,
): BatteryState {
  const [leg] = battery.legs;
  const of = (quantity: 'volts' | 'amps' | 'watts'): Known =>
    latest.number(battery.id, quantity, nowMs, leg);
  const volts = of('volts');
  const amps = of('amps');
  return {
    id: battery.id,
    label: battery.label,
    volts,
    amps,
    watts: firstKnown(
      of('watts'),
      derive([volts, amps], (v, a) => v * a, 'inferred'),
    ),
    stateOfCharge: latest.number(battery.id, 'stateOfCharge', nowMs),
    celsius: latest.number(battery.id, 'celsius', nowMs),
    ampHours: battery.ampHours,
    voltsNominal: battery.volts,
    ...NOT_REMEMBERED,
  };
}

/** The same battery `byMs` later, if nothing it rests on has changed since. */
export const batteryLater = (battery: BatteryState, byMs: number): BatteryState => ({
  ...battery,
  volts: later(battery.volts, byMs),
  amps: later(battery.amps, byMs),
  watts: later(battery.watts, byMs),
  stateOfCharge: later(battery.stateOfCharge, byMs),
  celsius: later(battery.celsius, byMs),
});
