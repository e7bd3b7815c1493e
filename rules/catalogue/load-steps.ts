/**
 * Steps of load, as the volts and amperes of a source show them within seconds. Only what changes
 * together with the boat's own current counts: neighbours on a hot dock pull the voltage down in
 * step with this boat's use over a day, so the slope of volts over amperes would blame the plug.
 */
import * as z from 'zod';
import { byId } from '../panel/lookup.ts';
import type { SourceState } from '../panel/panel-state.ts';
import type { RuleContext } from './rule.ts';
import { stampMs } from './shore-inlets.ts';

const sampleSchema = z.object({
  atMs: z.number(),
  /** By leg, in the order of the source's legs. */
  volts: z.array(z.number()),
  amps: z.array(z.number()),
});

/** The newest samples of one source, oldest first. */
export const samplesSchema = z.array(sampleSchema);

export type Samples = z.infer<typeof samplesSchema>;
type Sample = z.infer<typeof sampleSchema>;

export interface LoadStep {
  /** Between these two the load changed. */
  fromMs: number;
  atMs: number;
  /** Change of each leg. */
  volts: number[];
  amps: number[];
  /** Before the step. */
  voltsBefore: number[];
  ampsBefore: number[];
  /** A circuit with a resistive load switched at that moment by that current. */
  isResistive: boolean;
}

/** Three samples before, the one in which it changes, two after. */
const WINDOW = 6;
/** A sensor slower than this cannot tell a step of load from a swing of the dock. */
const SLOWEST_MS = 2600;
/** Current that stands still varies by no more than this, or by this share of itself. */
const STEADY_AMPS = 0.4;
const STEADY_RATIO = 0.04;
/** Volts that swing by more than this share of nominal beside the step are not its doing. */
const STEADY_VOLTS_RATIO = 0.01;

/** The newest volts and amperes of all legs, if every one of them is fresh and newer than before. */
function newSample(state: SourceState, samples: Samples, nowMs: number): Sample | null {
  const known = state.legs.flatMap((leg) => [leg.volts, leg.amps]);
  const stamps = known.map((own) => stampMs(own, nowMs));
  if (stamps.includes(null)) return null;
  const atMs = Math.min(...stamps.map((own) => own ?? 0));
  const last = samples.at(-1);
  if (last && atMs <= last.atMs) return null;
  return {
    atMs,
    volts: state.legs.map((leg) => leg.volts.value ?? 0),
    amps: state.legs.map((leg) => leg.amps.value ?? 0),
  };
}

const mean = (values: readonly number[]): number =>
  values.reduce((a, b) => a + b, 0) / values.length;
const spread = (values: readonly number[]): number => Math.max(...values) - Math.min(...values);

function isSteady(samples: readonly Sample[], leg: number, nominalVolts: number): boolean {
  const amps = samples.map((own) => own.amps[leg] ?? 0);
  const volts = samples.map((own) => own.volts[leg] ?? 0);
  const ampsMost = Math.max(STEADY_AMPS, STEADY_RATIO * mean(amps));
  return spread(amps) <= ampsMost && spread(volts) <= STEADY_VOLTS_RATIO * nominalVolts;
}

/**
 * Takes in the newest sample of `state`, and returns the step that it completes, or null. Every
 * step comes once. A source whose legs are not all measured, or too seldom, has none.
 */
export function takeStep(
  context: RuleContext,
  state: SourceState,
  samples: Samples,
): LoadStep | null {
  const { boat, nowMs } = context;
  const sample = newSample(state, samples, nowMs);
  if (!sample) return null;
  samples.push(sample);
  if (samples.length > WINDOW) samples.shift();
  const [turning] = samples.slice(3, 4);
  if (samples.length < WINDOW || !turning) return null;
  const isSlow = samples.some(
    (own, i) => i > 0 && own.atMs - (samples[i - 1]?.atMs ?? 0) > SLOWEST_MS,
  );
  if (isSlow) return null;
  const before = samples.slice(0, 3);
  const after = samples.slice(4);
  const nominal = boat.ac?.volts ?? 0;
  const legs = state.legs.map((_, i) => i);
  const at = (part: readonly Sample[], of: 'volts' | 'amps'): number[] =>
    legs.map((i) => mean(part.map((own) => own[of][i] ?? 0)));
  const ampsBefore = at(before, 'amps');
  const amps = at(after, 'amps').map((own, i) => own - (ampsBefore[i] ?? 0));
  const largest = legs.reduce(
    (a, b) => (Math.abs(amps[b] ?? 0) > Math.abs(amps[a] ?? 0) ? b : a),
    0,
  );
  const size = Math.abs(amps[largest] ?? 0);
  // The same step one sample later would still be ahead of the turning sample.
  const hasTurned = Math.abs((turning.amps[largest] ?? 0) - (ampsBefore[largest] ?? 0)) > size / 4;
  // Nearly always nothing has changed, and that is the cheapest question.
  if (size < boat.limits.stepAmps || !hasTurned) return null;
  // Power that goes takes every load with it: that says nothing of what a load does to the volts.
  const deadVolts = boat.limits.deadRatio * nominal;
  if (samples.some((own) => own.volts.some((volts) => volts < deadVolts))) return null;
  if (!legs.every((i) => isSteady(before, i, nominal) && isSteady(after, i, nominal))) return null;
  const voltsBefore = at(before, 'volts');
  const fromMs = before.at(-1)?.atMs ?? turning.atMs;
  return {
    fromMs,
    atMs: sample.atMs,
    volts: at(after, 'volts').map((own, i) => own - (voltsBefore[i] ?? 0)),
    amps,
    voltsBefore,
    ampsBefore,
    isResistive: isResistive(context, fromMs, size),
  };
}

/** Clamps and the times of their publishers differ by so much. */
const MATCH_RATIO = 0.2;
const MATCH_MS = 2500;

function isResistive({ boat, panel }: RuleContext, fromMs: number, size: number): boolean {
  return boat.circuits.some((circuit) => {
    if (circuit.load !== 'resistive' || circuit.system !== 'ac') return false;
    const state = byId(panel.circuits, circuit.id);
    if (!state || state.activeSinceMs === null || state.activeSinceMs < fromMs - MATCH_MS) {
      return false;
    }
    const amps = state.activity === 'drawing' ? state.amps.value : (circuit.ampsRunning ?? null);
    return amps !== null && Math.abs(amps - size) <= MATCH_RATIO * size;
  });
}

/** Another leg that changes by more than this share of the step took part in it. */
const ALONE_RATIO = 0.1;
const ALONE_AMPS = 0.3;

/** The one leg whose load changed, by its number; null where several did. */
export function legAlone(step: LoadStep): number | null {
  const legs = step.amps
    .map((own, i) => ({ i, size: Math.abs(own) }))
    .sort((a, b) => b.size - a.size);
  const [first, second] = legs;
  if (!first) return null;
  const isAlone = !second || second.size <= Math.max(ALONE_AMPS, ALONE_RATIO * first.size);
  return isAlone ? first.i : null;
}

/** Median; NaN of nothing. */
export function medianOf(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  const half = sorted.length >> 1;
  const upper = sorted[half] ?? Number.NaN;
  return sorted.length % 2 === 1 ? upper : ((sorted[half - 1] ?? Number.NaN) + upper) / 2;
}

/** Standard error of the median of values of about normal spread, by their median deviation. */
export function medianError(values: readonly number[]): number {
  const middle = medianOf(values);
  const deviation = 1.4826 * medianOf(values.map((own) => Math.abs(own - middle)));
  return (1.2533 * deviation) / Math.sqrt(values.length);
}
