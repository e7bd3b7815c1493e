/**
 * RMS values and power from samples of a wave. Right for any wave shape as long as the samples are
 * evenly spaced over whole cycles and fast enough for its harmonics.
 *
 * Source: IEEE Std 1459, single-phase nonsinusoidal definitions, from memory.
 */

export interface SampledPower {
  /** RMS. */
  volts: number;
  /** RMS. */
  amps: number;
  watts: number;
  voltAmps: number;
  /** The part of the volt-amperes that is not watts: displacement and distortion together. */
  nonactiveVoltAmps: number;
  /** True power factor 0..1, whichever way the power flows; null without volts or amps. */
  powerFactor: number | null;
}

/** Root of the mean square, 0 and up. Null for no samples or one that is not finite. */
export function rootMeanSquare(samples: readonly number[]): number | null {
  if (samples.length === 0) return null;
  const squares = samples.reduce((sum, sample) => sum + sample * sample, 0);
  return Number.isFinite(squares) ? Math.sqrt(squares / samples.length) : null;
}

/**
 * Power from samples of voltage and current taken at the same instants. Null for no samples, two
 * lists of different length, or a sample that is not finite.
 */
export function powerOfSamples(
  voltSamples: readonly number[],
  ampSamples: readonly number[],
): SampledPower | null {
  const volts = rootMeanSquare(voltSamples);
  const amps = rootMeanSquare(ampSamples);
  if (volts === null || amps === null || voltSamples.length !== ampSamples.length) return null;
  const energy = voltSamples.reduce((sum, sample, at) => sum + sample * (ampSamples[at] ?? 0), 0);
  const watts = energy / voltSamples.length;
  const voltAmps = volts * amps;
  return {
    volts,
    amps,
    watts,
    voltAmps,
    // Rounding can put the watts of a plain resistance a hair above its volt-amperes.
    nonactiveVoltAmps: Math.sqrt(Math.max(0, voltAmps ** 2 - watts ** 2)),
    powerFactor: voltAmps === 0 ? null : Math.min(1, Math.abs(watts) / voltAmps),
  };
}
