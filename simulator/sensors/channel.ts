/**
 * One channel of a sensor: from what is true to the number or word that it sends. Undoes what the
 * boat file says about the point (scale, offset, sign, unit, words), by its own arithmetic.
 */
import type { Boat, Point } from '../../rules/index.ts';
import type { Random } from '../random.ts';
import type { SensorFaults } from './sensor-faults.ts';

/** From the base unit of a quantity to the unit of the wire. */
const INTO_UNIT: Readonly<Record<string, (base: number) => number>> = {
  V: (volts) => volts,
  mV: (volts) => volts * 1000,
  kV: (volts) => volts / 1000,
  A: (amps) => amps,
  mA: (amps) => amps * 1000,
  kA: (amps) => amps / 1000,
  W: (watts) => watts,
  mW: (watts) => watts * 1000,
  kW: (watts) => watts / 1000,
  Hz: (hertz) => hertz,
  mHz: (hertz) => hertz * 1000,
  ratio: (ratio) => ratio,
  '%': (ratio) => ratio * 100,
  percent: (ratio) => ratio * 100,
  C: (celsius) => celsius,
  '°C': (celsius) => celsius,
  K: (celsius) => celsius + 273.15,
  F: (celsius) => (celsius * 9) / 5 + 32,
  '°F': (celsius) => (celsius * 9) / 5 + 32,
};

/** How a kind of sensor errs. Amperes, volts, watts, hertz, and ratios. */
interface Errors {
  gainLeast: number;
  gainMost: number;
  /** Standard deviation: a constant part and a share of the value. */
  noise: number;
  noiseRatio: number;
  resolution: number;
}

const ERRORS: Readonly<Record<string, Errors>> = {
  volts: { gainLeast: 0, gainMost: 0.004, noise: 0.04, noiseRatio: 0.0008, resolution: 0.01 },
  amps: { gainLeast: 0.01, gainMost: 0.03, noise: 0.02, noiseRatio: 0.002, resolution: 0.01 },
  watts: { gainLeast: 0.01, gainMost: 0.03, noise: 1.5, noiseRatio: 0.003, resolution: 1 },
  hertz: { gainLeast: 0, gainMost: 0.0002, noise: 0.005, noiseRatio: 0, resolution: 0.01 },
};

/** A shunt is better than a clamp, and has an offset with a sign instead of a phantom. */
const SHUNT: Errors = {
  gainLeast: 0,
  gainMost: 0.005,
  noise: 0.02,
  noiseRatio: 0.001,
  resolution: 0.01,
};
const EXACT: Errors = { gainLeast: 0, gainMost: 0, noise: 0, noiseRatio: 0, resolution: 0.001 };

export class Channel {
  readonly point: Point;
  readonly #faults: SensorFaults;
  readonly #random: Random;
  readonly #errors: Errors;
  readonly #gain: number;
  /** Reads so much with nothing connected; a shunt's has a sign. */
  readonly #phantom: number;
  readonly #noise: number;
  readonly #isShunt: boolean;
  /** Position to the word on the wire; null where positions are sent as they are called. */
  readonly #wordFor: ReadonlyMap<string, string> | null;

  constructor(boat: Boat, point: Point, faults: SensorFaults, random: Random) {
    this.point = point;
    this.#faults = faults;
    this.#random = random;
    const part = boat.parts.get(point.of);
    this.#isShunt = part?.part === 'battery' || (part?.part === 'source' && part.system === 'dc');
    const isCurrent = point.quantity === 'amps';
    this.#errors = isCurrent && this.#isShunt ? SHUNT : (ERRORS[point.quantity] ?? EXACT);
    const { gainLeast, gainMost, noise } = this.#errors;
    const gainError = random.sign() * random.between(gainLeast, gainMost);
    const threshold = part?.part === 'circuit' ? part.drawingAmps : boat.limits.drawingAmps;
    const phantom = Math.min(random.between(0.02, 0.1), 0.3 * threshold);
    this.#gain = faults.hasGainError ? 1 + gainError : 1;
    const hasPhantom = isCurrent && faults.hasPhantom;
    const usual = hasPhantom ? phantom * (this.#isShunt ? random.sign() * 0.5 : 1) : 0;
    const isBank = isCurrent && part?.part === 'battery';
    this.#phantom = isBank ? (faults.shuntOffsetAmps ?? usual) : usual;
    this.#noise = isCurrent ? Math.min(noise, 0.06 * threshold) : noise;
    this.#wordFor = wordsOf(point);
  }

  /** What it sends for what is true; null: nothing to say (a selector between two positions). */
  sends(truth: number | string | null): number | string | null {
    if (truth === null) return null;
    if (typeof truth === 'string') return this.#word(truth);
    const { scale, offset, sign, unit } = this.point;
    const into = INTO_UNIT[unit];
    if (into === undefined) throw new Error(`${this.point.id}: no such unit: ${unit}`);
    const raw = (into(this.#measured(truth) * sign) - offset) / scale;
    // Sensors print decimals, not what binary fractions make of them.
    return Number(raw.toFixed(6));
  }

  #measured(truth: number): number {
    const { noiseRatio, resolution } = this.#errors;
    let value = truth * this.#gain;
    // The noise of an RMS converter adds to a signal as squares do: it shows where nothing flows.
    if (this.#isShunt) value += this.#phantom;
    else if (this.#phantom > 0) value = Math.sqrt(value * value + this.#phantom * this.#phantom);
    if (this.#faults.hasNoise) {
      const deviation = this.#noise + noiseRatio * Math.abs(truth);
      value += deviation * this.#random.gaussian();
    }
    if (this.#faults.hasRounding) value = Math.round(value / resolution) * resolution;
    return this.#isShunt ? value : Math.max(0, value);
  }

  #word(position: string): string | null {
    if (this.#wordFor === null) return position;
    const word = this.#wordFor.get(position);
    if (word !== undefined) return word;
    // A contact that knows only on and off says of a tripped breaker that it is open.
    return position === 'tripped' ? (this.#wordFor.get('open') ?? null) : null;
  }
}

function wordsOf({ words }: Point): ReadonlyMap<string, string> | null {
  if (words === undefined) return null;
  return new Map([...words].map(([word, position]) => [position, word]));
}
