/** Kinds of signals as sensors aboard print them, four hours at about 1 Hz, all seeded. */
import type { Column } from '../../daemon/store/history/chunk.ts';
import { seededNoise } from './history-folder.ts';

const SECONDS = 4 * 3600;
const START_MS = Date.UTC(2026, 5, 1);

export interface Signal extends Column {
  name: string;
  times: Float64Array;
  values: Float64Array;
}

type Sample = (second: number, noise: () => number) => number;

const rounded = (value: number, parts: number): number => Math.round(value * parts) / parts;
/** On for a while, off for a while, never the same. */
const isOn = (second: number): boolean => Math.floor(second / 217) % 3 === 0;

const SAMPLES: Record<string, Sample> = {
  'clamp, noisy, 0.01 A': (second, noise) => {
    const amps = isOn(second) ? 8.4 : 0.06;
    return Math.max(0, rounded(amps + (0.02 + 0.002 * amps) * noise(), 100));
  },
  'volts, noisy, 0.1 V': (_, noise) => rounded(120.4 + 0.12 * noise(), 10),
  'on or off, 0.1 A': (second) => (isOn(second) ? 8.4 : 0),
  'energy counter, 1 Wh': (second) => Math.floor(second / 3.7),
  'temperature, 0.1 °C': (second, noise) =>
    rounded(24 + 3 * Math.sin(second / 3000) + 0.02 * noise(), 10),
  'state of charge, 1 %': (second) => 0.87 - Math.floor(second / 900) / 100,
  'true noise, all digits': (_, noise) => 12.6 + 0.01 * noise(),
};

export function benchSignals(): Signal[] {
  const regular = Object.entries(SAMPLES).map(([name, sample], seed) => {
    const noise = seededNoise(seed + 1);
    const values = Float64Array.from({ length: SECONDS }, (_, second) => sample(second, noise));
    return { name, times: instants(20, seed), values };
  });
  const [clamp] = regular;
  return clamp ? [...regular, gappy(clamp)] : regular;
}

/** Once a second, give or take milliseconds of a network. */
function instants(jitterMs: number, seed: number): Float64Array {
  const noise = seededNoise(100 + seed);
  return Float64Array.from(
    { length: SECONDS },
    (_, second) => START_MS + second * 1000 + 500 + Math.round(jitterMs * noise()),
  ).sort();
}

/** One message in fifty is lost, and each comes when it likes. */
function gappy({ values }: Signal): Signal {
  const times = instants(150, 77);
  const kept = Array.from(times.keys()).filter(
    (at) => at % 50 !== 13 && (at === 0 || times[at] !== times[at - 1]),
  );
  const pick = (column: Float64Array) => Float64Array.from(kept, (at) => column[at] ?? 0);
  return { name: 'clamp, irregular, 2 % lost', times: pick(times), values: pick(values) };
}
