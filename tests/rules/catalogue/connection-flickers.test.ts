/** Volts that jump under a steady load, and all that looks like it and is not. */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { createWatch, readBoat } from '../../../rules/index.ts';
import type { Alert, Watch } from '../../../rules/index.ts';
import { createRandom } from '../../../simulator/random.ts';

const file = new URL('../../fixtures/boats/small.yaml', import.meta.url);
const { boat } = readBoat(readFileSync(file, 'utf8'), 'small.yaml');
if (!boat) throw new Error('small.yaml is not usable');

const START_MS = 1_700_000_000_000;
const REST_S = 600;

/** Volts and amperes of the inlet at a second; null: silent. */
type Dock = (second: number) => { volts: number; amps: number } | null;

class Stay {
  #second = 0;
  watch: Watch = createWatch(boat!);

  until(second: number, dock: Dock): this {
    for (; this.#second < second; this.#second += 1) {
      const atMs = START_MS + this.#second * 1000;
      const now = dock(this.#second);
      if (now) {
        this.watch.take({ pointId: 'inlet-volts', value: now.volts, atMs });
        this.watch.take({ pointId: 'inlet-amps', value: now.amps, atMs });
      }
      this.watch.evaluate(atMs);
    }
    return this;
  }

  restart(): this {
    const saved = JSON.parse(JSON.stringify(this.watch.save(START_MS + this.#second * 1000)));
    this.watch = createWatch(boat!, saved);
    return this;
  }

  get alert(): Alert | undefined {
    return this.watch.openAlerts().find((own) => own.rule === 'connection-flickers');
  }
}

/** Ten minutes at rest, then a load of 20 A; `jumps` times a minute the volts dip for a reading. */
function dockWith(options: {
  dips: number;
  noise?: number;
  dipsAtRest?: boolean;
  amps?: number;
  creepPerHour?: number;
}): Dock {
  const { dips, noise = 0.1, dipsAtRest = false, amps = 20, creepPerHour = 0 } = options;
  const random = createRandom(7);
  return (second) => {
    const isLoaded = second >= REST_S;
    const every = Math.floor(60 / Math.max(dips, 1));
    const dip = dips > 0 && (isLoaded || dipsAtRest) && second % every === 1 ? 2 : 0;
    const crept = isLoaded ? ((second - REST_S) / 3600) * creepPerHour : 0;
    const volts = 120 - (isLoaded ? 0.1 * amps : 0) - dip - crept + noise * random.gaussian();
    return { volts, amps: isLoaded ? amps : 2 };
  };
}

const MINUTES = 60;

describe('a contact that flickers', () => {
  test('is a warning after some minutes of load, with what was seen', () => {
    const stay = new Stay().until(REST_S + 2 * MINUTES, dockWith({ dips: 5 }));
    expect(stay.alert).toBeUndefined();
    stay.until(REST_S + 5 * MINUTES, dockWith({ dips: 5 }));
    expect(stay.alert?.priority).toBe('warning');
    expect(stay.alert?.title).toMatch(/^Voltage of Inlet flickers while it carries a load/);
    expect(stay.alert?.means).toMatch(/about 10 times a minute/);
    expect(stay.alert?.cautions[0]).toMatch(/breaker on the dock/);
  });

  test('is an alarm where the volts creep down besides', () => {
    const stay = new Stay().until(REST_S + 12 * MINUTES, dockWith({ dips: 5, creepPerHour: 6 }));
    expect(stay.alert?.priority).toBe('alarm');
    expect(stay.alert?.means).toMatch(/crept down by \d\.\d V/);
  });

  test('goes on over a restart and is held while the sensor is silent', () => {
    const stay = new Stay().until(REST_S + 100, dockWith({ dips: 5 }));
    stay.restart().until(REST_S + 5 * MINUTES, dockWith({ dips: 5 }));
    expect(stay.alert?.priority).toBe('warning');
    stay.until(REST_S + 10 * MINUTES, () => null);
    expect(stay.alert).toMatchObject({ phase: 'unacknowledged', isHeld: true });
  });

  test('is over an hour after ten minutes of load that no longer show it', () => {
    const stay = new Stay().until(REST_S + 6 * MINUTES, dockWith({ dips: 5 }));
    stay.until(REST_S + 40 * MINUTES, dockWith({ dips: 0 }));
    expect(stay.alert?.phase).toBe('unacknowledged');
    stay.until(REST_S + 90 * MINUTES, dockWith({ dips: 0 }));
    expect(stay.alert?.phase).toBe('returned');
  });
});

describe('what is none', () => {
  const hour = REST_S + 60 * MINUTES;
  test.each([
    ['two dips a minute', dockWith({ dips: 2 })],
    ['creeping alone, as neighbours on the dock make it', dockWith({ dips: 0, creepPerHour: 6 })],
    ['a supply that dips at rest as well', dockWith({ dips: 5, dipsAtRest: true })],
    ['noise of half a volt', dockWith({ dips: 0, noise: 0.5 })],
    ['a load below the limit', dockWith({ dips: 5, amps: 12 })],
  ])('%s', (_, dock) => {
    expect(new Stay().until(hour, dock).alert).toBeUndefined();
  });

  test('a cooker that pulses: its volts jump with its current', () => {
    const random = createRandom(3);
    const dock: Dock = (second) => {
      const isOn = second >= REST_S && Math.floor(second / 7) % 2 === 0;
      const amps = second < REST_S ? 2 : isOn ? 28 : 16;
      return { volts: 121 - 0.15 * amps + 0.1 * random.gaussian(), amps };
    };
    expect(new Stay().until(hour, dock).alert).toBeUndefined();
  });

  test('a rest of the night is not held against the load of a noisy day', () => {
    const random = createRandom(5);
    const dock: Dock = (second) => {
      const isDay = second >= REST_S + 2 * 3600;
      const amps = second < REST_S ? 2 : 20;
      return { volts: 118 + (isDay ? 1.2 : 0.1) * random.gaussian(), amps };
    };
    expect(new Stay().until(REST_S + 3 * 3600, dock).alert).toBeUndefined();
  });
});
