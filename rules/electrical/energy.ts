/**
 * Energy and charge from readings in time: trapezoids between neighbours. A silence is never
 * bridged: what happened in it is not known, so it adds nothing and lowers the coverage.
 */
import { isPositive } from './numbers.ts';

/** One reading; `value` is null where the sensor said that it has none. */
export interface TimedSample {
  atMs: number;
  value: number | null;
}

export interface TimeIntegral {
  /** Unit of the samples times hours, over the bridged time only; null when nothing was bridged. */
  valueHours: number | null;
  bridgedMs: number;
  /** Share of the asked time that readings cover, 0..1. */
  coverage: number;
}

const MS_PER_HOUR = 3_600_000;

/**
 * Integral of `samples` (ascending in time) from `fromMs` to `toMs`; a trapezoid that reaches over
 * an end is cut there. Neighbours further apart than `gapMaxMs`, and a null or non-finite value,
 * leave a gap.
 *
 * Null: `toMs` not after `fromMs`, `gapMaxMs` not above 0, or any not finite.
 * Throws RangeError when the samples go backwards in time.
 */
export function integralBetween(
  samples: readonly TimedSample[],
  fromMs: number,
  toMs: number,
  gapMaxMs: number,
): TimeIntegral | null {
  if (!isPositive(toMs - fromMs) || !isPositive(gapMaxMs)) return null;
  const integrator = new TimeIntegrator(fromMs, toMs, gapMaxMs);
  for (const sample of samples) integrator.take(sample);
  return integrator.integral();
}

/** The same integral, of samples that come one by one; for spans too long to hold. */
export class TimeIntegrator {
  readonly #fromMs: number;
  readonly #toMs: number;
  readonly #gapMaxMs: number;
  #before: TimedSample | undefined;
  #sum = 0;
  #bridgedMs = 0;

  /** `toMs` lies after `fromMs`, and `gapMaxMs` is above 0. */
  constructor(fromMs: number, toMs: number, gapMaxMs: number) {
    this.#fromMs = fromMs;
    this.#toMs = toMs;
    this.#gapMaxMs = gapMaxMs;
  }

  /** Throws RangeError when it lies before the sample before. */
  take(sample: TimedSample): void {
    const before = this.#before;
    if (before !== undefined && !(sample.atMs >= before.atMs)) {
      throw new RangeError(`samples go backwards in time: ${sample.atMs} after ${before.atMs}`);
    }
    const piece = before && trapezoid(before, sample, this.#fromMs, this.#toMs, this.#gapMaxMs);
    this.#sum += piece?.area ?? 0;
    this.#bridgedMs += piece?.ms ?? 0;
    this.#before = sample;
  }

  integral(): TimeIntegral {
    return {
      valueHours: this.#bridgedMs > 0 ? this.#sum / MS_PER_HOUR : null,
      bridgedMs: this.#bridgedMs,
      coverage: this.#bridgedMs / (this.#toMs - this.#fromMs),
    };
  }
}

/** Area in value x ms of the trapezoid between two readings, cut to the asked time. */
function trapezoid(
  a: TimedSample,
  b: TimedSample,
  fromMs: number,
  toMs: number,
  gapMaxMs: number,
): { area: number; ms: number } | null {
  const start = Math.max(a.atMs, fromMs);
  const end = Math.min(b.atMs, toMs);
  if (b.atMs - a.atMs > gapMaxMs || end <= start) return null;
  if (a.value === null || b.value === null) return null;
  if (!Number.isFinite(a.value) || !Number.isFinite(b.value)) return null;
  const slope = (b.value - a.value) / (b.atMs - a.atMs);
  const middle = a.value + slope * ((start + end) / 2 - a.atMs);
  return { area: middle * (end - start), ms: end - start };
}

/** Energy in watt-hours from samples in watts, signed as they are. Rules of `integralBetween`. */
export function energyBetween(
  samples: readonly TimedSample[],
  fromMs: number,
  toMs: number,
  gapMaxMs: number,
): { wattHours: number | null; coverage: number } | null {
  const integral = integralBetween(samples, fromMs, toMs, gapMaxMs);
  return integral && { wattHours: integral.valueHours, coverage: integral.coverage };
}

/** Charge in ampere-hours from samples in amps, signed as they are. Rules of `integralBetween`. */
export function chargeBetween(
  samples: readonly TimedSample[],
  fromMs: number,
  toMs: number,
  gapMaxMs: number,
): { ampHours: number | null; coverage: number } | null {
  const integral = integralBetween(samples, fromMs, toMs, gapMaxMs);
  return integral && { ampHours: integral.valueHours, coverage: integral.coverage };
}

/** Watt-hours that one pulse of a meter stands for. Null for a constant not above 0. */
export function wattHoursPerPulse(pulsesPerKilowattHour: number): number | null {
  return isPositive(pulsesPerKilowattHour) ? 1000 / pulsesPerKilowattHour : null;
}

/** Seconds between two pulses at a steady load, both above 0. Null on bad input. */
export function secondsPerPulse(pulsesPerKilowattHour: number, watts: number): number | null {
  const wattHours = wattHoursPerPulse(pulsesPerKilowattHour);
  return wattHours === null || !isPositive(watts) ? null : (wattHours / watts) * 3600;
}
