/** Made-up series of readings, from a seed: sources that ripple, sensors that err. */
import { seeded } from '../random-boats.ts';

/** A generator of normal deviates (Box and Muller), from a seed. */
export function gaussian(seed: number): () => number {
  const unit = seeded(seed);
  return () => Math.sqrt(-2 * Math.log(1 - unit())) * Math.cos(2 * Math.PI * unit());
}

/** A value that wanders around `level` and comes back within about `seconds` (one look a second). */
export function wandering(
  level: number,
  deviation: number,
  seconds: number,
  seed: number,
): () => number {
  const next = gaussian(seed);
  const kept = Math.exp(-1 / seconds);
  let away = deviation * next();
  return () => {
    away = away * kept + deviation * Math.sqrt(1 - kept * kept) * next();
    return level + away;
  };
}

/** A sensor that adds noise and rounds. */
export function sensor(noise: number, resolution: number, seed: number): (value: number) => number {
  const next = gaussian(seed);
  return (value) => Math.round((value + noise * next()) / resolution) * resolution;
}
