/**
 * What a pump has done, from its current alone: the run it is in, its starts of the last day, its
 * usual. Time between two readings belongs to what the first of them showed; time that no reading
 * covers counts as nothing. Plain JSON of a few kilobytes at most, kept over a restart.
 */
import * as z from 'zod';
import type { Boat, Circuit } from '../boat/boat.ts';
import { median } from '../panel/habit-memory.ts';
import { staleAfterMs } from '../panel/latest.ts';

const number = z.number();

const strokeSchema = z.object({
  startMs: number,
  /** Time it was seen running, all its runs together. */
  ranMs: number,
  /** More than one where the water of the hose ran back. */
  runs: number,
  /** Settled current at its end; null where it was too short to tell. */
  amps: number.nullable(),
});

const runSchema = z.object({
  startMs: number,
  seenMs: number,
  /** Current, smoothed, once the start is over; null until then. */
  amps: number.nullable(),
  /** Highest that it has been in this run. */
  highAmps: number,
});

const pumpSchema = z.object({
  /** Newest reading that was counted; null before the first. */
  atMs: number.nullable(),
  isRunning: z.boolean(),
  stoppedAtMs: number.nullable(),
  /** The run it is in, or its last one. */
  run: runSchema.nullable(),
  /** Starts of the last 24 hours and the last one, oldest first. */
  strokes: z.array(strokeSchema),
  /** Settled currents of its newest healthy runs, oldest first. */
  levels: z.array(number),
  /** Length of its newest rests, as far as they were seen. */
  restsMs: z.array(number),
  restMs: number,
  today: z.object({ day: number, starts: number, knownMs: number }),
  /** Starts of its whole days, oldest first. */
  days: z.array(number),
});

export const pumpsSchema = z.record(z.string(), pumpSchema);

export type Stroke = z.infer<typeof strokeSchema>;
export type PumpMemory = z.infer<typeof pumpSchema>;
export type Pumps = z.infer<typeof pumpsSchema>;

export const HOUR_MS = 3_600_000;
export const DAY_MS = 24 * HOUR_MS;
/** A start is over after this; common practice for small motors. */
const START_MS = 1500;
/** A pause no longer than this is a dip of the current, not the end of a run. */
const DIP_MS = 5000;
const SMOOTHING_MS = 10_000;
const DAYS_KEPT = 14;
const LEVELS_KEPT = 9;
const RESTS_KEPT = 20;
const STROKES_KEPT = 500;
/** Of a day that must be known for its starts to count. */
const DAY_KNOWN_RATIO = 0.8;
/** A start, and twice what ran back; were there no end to it, a heavy leak would be one start. */
const RUNS_IN_STROKE = 3;

const freshPump = (): PumpMemory => ({
  atMs: null,
  isRunning: false,
  stoppedAtMs: null,
  run: null,
  strokes: [],
  levels: [],
  restsMs: [],
  restMs: 0,
  today: { day: 0, starts: 0, knownMs: 0 },
  days: [],
});

/** The pump's memory, made where there is none yet. */
export const pumpIn = (pumps: Pumps, circuit: Circuit): PumpMemory =>
  (pumps[circuit.id] ??= freshPump());

const gaps = new WeakMap<Circuit, number>();

/** Time between two readings beyond which what lies between is not known. */
function gapAfterMs(boat: Boat, circuit: Circuit): number {
  let gapMs = gaps.get(circuit);
  if (gapMs === undefined) {
    const own = [...boat.points.values()].filter((point) => point.of === circuit.id);
    gapMs = Math.max(0, ...own.map((point) => staleAfterMs(boat, point)));
    gaps.set(circuit, gapMs);
  }
  return gapMs;
}

/** Counts a reading of `amps` taken at `atMs`; one that is no newer than the last counts nothing. */
export function takeAmps(
  pump: PumpMemory,
  boat: Boat,
  circuit: Circuit,
  amps: number,
  atMs: number,
): void {
  const passedMs = pump.atMs === null ? 0 : atMs - pump.atMs;
  if (pump.atMs !== null && passedMs <= 0) return;
  countTime(pump, passedMs <= gapAfterMs(boat, circuit) ? passedMs : 0, atMs);
  pump.atMs = atMs;
  const runs = amps > circuit.drawingAmps;
  if (runs && !pump.isRunning) start(pump, boat, circuit, atMs);
  if (!runs && pump.isRunning) stop(pump, boat, atMs);
  pump.isRunning = runs;
  if (runs) smooth(pump, amps, passedMs);
  while ((pump.strokes[1]?.startMs ?? atMs) <= atMs - DAY_MS) pump.strokes.shift();
}

function countTime(pump: PumpMemory, knownMs: number, atMs: number): void {
  const day = Math.floor(atMs / DAY_MS);
  if (day !== pump.today.day) {
    const isWhole = pump.today.knownMs >= DAY_KNOWN_RATIO * DAY_MS;
    if (isWhole) pump.days = [...pump.days, pump.today.starts].slice(-DAYS_KEPT);
    pump.today = { day, starts: 0, knownMs: 0 };
  }
  pump.today.knownMs += knownMs;
  const stroke = pump.strokes.at(-1);
  if (!pump.isRunning) pump.restMs += knownMs;
  else if (pump.run && stroke) {
    pump.run.seenMs += knownMs;
    stroke.ranMs += knownMs;
  }
}

function start(pump: PumpMemory, boat: Boat, circuit: Circuit, atMs: number): void {
  const pausedMs = pump.stoppedAtMs === null ? Infinity : atMs - pump.stoppedAtMs;
  if (pump.run && pausedMs <= DIP_MS) return;
  pump.run = { startMs: atMs, seenMs: 0, amps: null, highAmps: 0 };
  // A fresh-water pump has no hose that runs back: every start of it is one.
  const backFlowMs =
    circuit.duty === 'bilge pump' ? boat.limits.pumpBackFlowSeconds * 1000 : DIP_MS;
  const last = pump.strokes.at(-1);
  if (last && pausedMs <= backFlowMs && last.runs < RUNS_IN_STROKE) {
    last.runs += 1;
    return;
  }
  if (pump.stoppedAtMs !== null) pump.restsMs = [...pump.restsMs, pump.restMs].slice(-RESTS_KEPT);
  pump.strokes.push({ startMs: atMs, ranMs: 0, runs: 1, amps: null });
  if (pump.strokes.length > STROKES_KEPT) pump.strokes.shift();
  pump.today.starts += 1;
}

function stop(pump: PumpMemory, boat: Boat, atMs: number): void {
  pump.stoppedAtMs = atMs;
  pump.restMs = 0;
  const { run } = pump;
  if (run === null || run.amps === null) return;
  // What it drew while it ran dry is not its usual.
  const { pumpDryRatio, pumpJammedRatio } = boat.limits;
  const usual = median(pump.levels) ?? run.amps;
  const isHealthy = run.amps >= pumpDryRatio * run.highAmps && run.amps < pumpJammedRatio * usual;
  if (isHealthy) pump.levels = [...pump.levels, run.amps].slice(-LEVELS_KEPT);
}

function smooth({ run, strokes }: PumpMemory, amps: number, passedMs: number): void {
  if (run === null || run.seenMs < START_MS) return;
  run.amps =
    run.amps === null
      ? amps
      : run.amps + (amps - run.amps) * Math.min(1, Math.max(0, passedMs) / SMOOTHING_MS);
  run.highAmps = Math.max(run.highAmps, run.amps);
  const stroke = strokes.at(-1);
  if (stroke) stroke.amps = run.amps;
}

/** Starts later than `sinceMs`, of the last 24 hours at most. */
export function startsSince({ strokes }: PumpMemory, sinceMs: number): number {
  let starts = 0;
  for (let i = strokes.length - 1; i >= 0 && (strokes[i]?.startMs ?? 0) > sinceMs; i--) starts += 1;
  return starts;
}

/** Median starts of its whole days; null until enough of them are known. */
export const usualStartsPerDay = ({ days }: PumpMemory, boat: Boat): number | null =>
  days.length < boat.limits.bilgeUsualDays ? null : median(days);

/** What it usually draws: learned, else as the boat file says, else null. */
export const usualAmps = ({ levels }: PumpMemory, circuit: Circuit): number | null =>
  median(levels) ?? circuit.ampsRunning ?? null;

/** How long it has run without a pause; 0 while it does not run. */
export const runningMs = ({ isRunning, run }: PumpMemory): number =>
  isRunning ? (run?.seenMs ?? 0) : 0;

/** `dry`: it draws far less than its usual, or than before in this run. Null: cannot be told. */
export function moves(
  { isRunning, run, levels }: PumpMemory,
  boat: Boat,
  circuit: Circuit,
): 'water' | 'nearly dry' | 'dry' | 'jammed' | null {
  if (!isRunning || run === null || run.amps === null) return null;
  const { pumpDryRatio, pumpJammedRatio } = boat.limits;
  const usual = median(levels) ?? circuit.ampsRunning ?? run.highAmps;
  const ratio = run.amps / usual;
  if (ratio > pumpJammedRatio) return 'jammed';
  if (ratio < pumpDryRatio) return 'dry';
  return ratio < (pumpDryRatio + 1) / 2 ? 'nearly dry' : 'water';
}
