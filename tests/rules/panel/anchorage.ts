/** The boat at anchor of the rehearsals, played step by step where a test wants to see the panel. */
import { readFileSync } from 'node:fs';
import { createWatch, readBoat } from '../../../rules/index.ts';
import type { Alert, BatteryState, Evaluation, Watch } from '../../../rules/index.ts';

const FILE = new URL('../../fixtures/boats/anchorage.yaml', import.meta.url);
const { boat: read } = readBoat(readFileSync(FILE, 'utf8'), 'anchorage.yaml');
if (!read) throw new Error('the test boat at anchor is not usable');
export const boat = read;

export const START_MS = 1_700_000_000_000;
export const MINUTE_MS = 60_000;
export const HOUR_MS = 60 * MINUTE_MS;
export const DAY_MS = 24 * HOUR_MS;

export type Readings = Record<string, number | string>;

/** Moored, both chargers on float. */
export const AT_THE_DOCK: Readings = {
  'inlet-volts': 120,
  'inlet-amps': 10,
  'large-volts': 0,
  'large-amps': 0,
  'large-hertz': 0,
  'small-volts': 0,
  'small-amps': 0,
  'small-hertz': 0,
  'inverter-volts': 0,
  'supply-position': 'SHORE',
  'galley-position': 'SUPPLY',
  'charger-1-amps': 3,
  'charger-2-amps': 3,
  'heater-amps': 0,
  'house-volts': 13.5,
  'house-amps': 2,
  'house-celsius': 20,
  'thruster-volts': 26.8,
  'thruster-amps': 0,
  'thruster-charge': 0.95,
  'thruster-celsius': 20,
};

/** At anchor, nothing on the AC panel. */
export const AT_ANCHOR: Readings = {
  ...AT_THE_DOCK,
  'inlet-volts': 0,
  'inlet-amps': 0,
  'supply-position': 'OFF',
  'charger-1-amps': 0,
  'charger-2-amps': 0,
  'house-volts': 12.6,
  'house-amps': -8,
};

/** A full charge that is held: 14.2 V and 1 % of capacity. */
export const NEARLY_FULL: Readings = { ...AT_THE_DOCK, 'house-volts': 14.2, 'house-amps': 4 };

export class Anchorage {
  watch: Watch = createWatch(boat);
  nowMs = START_MS;
  last: Evaluation | null = null;

  /** Goes on for `forMs` in steps of `stepMs`; readings left out of the answer are silent. */
  play(
    forMs: number,
    readings: Readings | ((sinceMs: number) => Readings),
    stepMs = MINUTE_MS,
  ): this {
    const fromMs = this.nowMs;
    for (; this.nowMs < fromMs + forMs; this.nowMs += stepMs) {
      const own = typeof readings === 'function' ? readings(this.nowMs - fromMs) : readings;
      for (const [pointId, value] of Object.entries(own)) {
        this.watch.take({ pointId, value, atMs: this.nowMs });
      }
      this.last = this.watch.evaluate(this.nowMs);
    }
    return this;
  }

  restart(): this {
    this.watch = createWatch(boat, JSON.parse(JSON.stringify(this.watch.save(this.nowMs))));
    return this;
  }

  battery(id = 'house'): BatteryState {
    const found = this.last?.panel.batteries.find((own) => own.id === id);
    if (!found) throw new Error(`no battery ${id}`);
    return found;
  }

  alert(key: string): Alert | undefined {
    return this.watch.openAlerts().find((own) => own.id.startsWith(`${key}.`));
  }
}
