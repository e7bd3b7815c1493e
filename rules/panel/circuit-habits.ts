/**
 * What a circuit does and usually does, from its current alone: at work, idling, starting, or not
 * drawing (never "off", which a clamp cannot see). Time between two readings belongs to what the
 * first of them showed, and to nothing at all when they lie too far apart: a gap in the readings
 * counts neither as running nor as resting.
 */
import type { Boat, Circuit, PartId } from '../boat/boat.ts';
import { addInterval, addStart, countOf, DAY_WINDOW, HOUR_WINDOW } from './duty-windows.ts';
import type { Bucket, DutyWindow } from './duty-windows.ts';
import { addToDays, dayOf, freshDay, openDay } from './habit-days.ts';
import { copyHabit, median } from './habit-memory.ts';
import type { HabitMemory, KnownPhase } from './habit-memory.ts';
import { staleAfterMs } from './latest.ts';
import type { CircuitHabits, DutyState, Known } from './panel-state.ts';

/** A start and its inrush are over after this; common practice for small motors. */
const STARTING_MS = 5000;
/** A stretch goes on over a gap no longer than this if it was the same before and after. */
const JOIN_MS = 300_000;
/** A settled current is averaged over so long, then kept as one level. */
const LEVEL_MS = 600_000;
/** A reading further from the average begins a new level. */
const LEVEL_RATIO = 0.4;
/** A start peak must stand out by this factor, or the sensor has not seen it. */
const PEAK_RATIO = 1.3;
const LEVELS_KEPT = 9;
const PEAKS_KEPT = 5;
const RUNS_KEPT = 8;

/** Habits of every circuit that has been read, by its id. */
export type SavedHabits = Record<PartId, HabitMemory>;

/** A copy that later changes do not reach. */
export const copyHabits = (habits: SavedHabits): SavedHabits =>
  Object.fromEntries(Object.entries(habits).map(([id, own]) => [id, copyHabit(own)]));

/** Takes the circuit's newest current and returns its habits as of `nowMs`. Updates `habits`. */
export function circuitHabits(
  habits: SavedHabits,
  boat: Boat,
  circuit: Circuit,
  amps: Known,
  nowMs: number,
): CircuitHabits {
  if (amps.value !== null) {
    const atMs = nowMs - (amps.ageMs ?? 0);
    const before = habits[circuit.id];
    if (!before) habits[circuit.id] = freshHabits(boat, circuit, amps.value, atMs);
    else if (atMs > before.atMs) take(before, boat, circuit, amps.value, atMs);
  }
  return stateOf(habits[circuit.id], amps, nowMs);
}

/** At or below this the load is not at work: its own switch, a thermostat, a fan. */
function runningAbove(boat: Boat, circuit: Circuit, learned: number | null): number {
  const running = circuit.ampsRunning ?? learned ?? 0;
  return Math.max(circuit.drawingAmps, running * boat.limits.runningRatio);
}

function freshHabits(boat: Boat, circuit: Circuit, amps: number, atMs: number): HabitMemory {
  const runs = amps > runningAbove(boat, circuit, null);
  return {
    atMs,
    phase: runs ? 'running' : amps > circuit.drawingAmps ? 'idle' : 'not drawing',
    amps,
    stretch: { sinceMs: null, seenMs: 0 },
    lastStartMs: null,
    hour: [],
    day: [],
    today: freshDay(dayOf(atMs)),
    days: [],
    weeks: [],
    daysOfWeek: 0,
    runs: [],
    settling: { ampMs: 0, ms: 0 },
    levels: [],
    peakAmps: 0,
    peaks: [],
    runningAmps: null,
    normal: null,
  };
}

const atWork = (phase: KnownPhase): boolean => phase === 'running' || phase === 'starting';

function take(memory: HabitMemory, boat: Boat, circuit: Circuit, amps: number, atMs: number): void {
  const passedMs = atMs - memory.atMs;
  const isSeen = passedMs <= longestStep(boat, circuit);
  if (isSeen) count(memory, atMs);
  const ran = atWork(memory.phase);
  const runs = amps > runningAbove(boat, circuit, memory.runningAmps);
  if (ran !== runs) turn(memory, runs, atMs, isSeen);
  else if (passedMs > Math.max(JOIN_MS, longestStep(boat, circuit))) {
    memory.stretch = { sinceMs: null, seenMs: 0 };
  }
  memory.phase = phaseOf(memory, circuit, runs, amps, atMs);
  learn(memory, circuit, amps, isSeen ? passedMs : 0);
  memory.amps = amps;
  memory.atMs = atMs;
}

/** The time up to `atMs` was spent in the phase of the reading before. */
function count(memory: HabitMemory, atMs: number): void {
  const ran = atWork(memory.phase);
  addInterval(memory.hour, HOUR_WINDOW, memory.atMs, atMs, ran);
  addInterval(memory.day, DAY_WINDOW, memory.atMs, atMs, ran);
  addToDays(memory, memory.atMs, atMs, ran);
}

/** It has begun or stopped to run. What happened in a gap was not seen, and is not counted. */
function turn(memory: HabitMemory, runs: boolean, atMs: number, isSeen: boolean): void {
  openDay(memory, dayOf(atMs));
  const { stretch, today } = memory;
  if (runs && isSeen) {
    memory.lastStartMs = atMs;
    today.starts += 1;
    addStart(memory.hour, HOUR_WINDOW, atMs);
    addStart(memory.day, DAY_WINDOW, atMs);
    memory.peakAmps = 0;
  } else if (!runs && isSeen && stretch.sinceMs !== null) {
    memory.runs.push([atMs, stretch.seenMs]);
    if (memory.runs.length > RUNS_KEPT) memory.runs.shift();
    today.endedRuns += 1;
    today.endedRunMs += stretch.seenMs;
  }
  memory.stretch = { sinceMs: isSeen ? atMs : null, seenMs: 0 };
}

function phaseOf(
  { stretch }: HabitMemory,
  circuit: Circuit,
  runs: boolean,
  amps: number,
  atMs: number,
): KnownPhase {
  if (!runs) return amps > circuit.drawingAmps ? 'idle' : 'not drawing';
  const isNew = stretch.sinceMs !== null && atMs - stretch.sinceMs < STARTING_MS;
  return isNew ? 'starting' : 'running';
}

/** Averages the settled current into levels, and keeps the peak of a start where it stands out. */
function learn(memory: HabitMemory, circuit: Circuit, amps: number, seenMs: number): void {
  const { phase, settling } = memory;
  if (phase === 'starting') {
    memory.peakAmps = Math.max(memory.peakAmps, amps);
    return;
  }
  if (memory.peakAmps > 0) {
    const running = memory.runningAmps ?? circuit.ampsRunning ?? (atWork(phase) ? amps : null);
    if (running !== null && memory.peakAmps > running * PEAK_RATIO) {
      memory.peaks.push(memory.peakAmps);
      if (memory.peaks.length > PEAKS_KEPT) memory.peaks.shift();
    }
    memory.peakAmps = 0;
  }
  const mean = settling.ms > 0 ? settling.ampMs / settling.ms : amps;
  const isSame = phase === 'running' && Math.abs(amps - mean) <= LEVEL_RATIO * mean;
  if (!isSame || settling.ms >= LEVEL_MS) keepLevel(memory);
  if (phase !== 'running') return;
  memory.settling.ampMs += amps * seenMs;
  memory.settling.ms += seenMs;
}

function keepLevel(memory: HabitMemory): void {
  const { ampMs, ms } = memory.settling;
  memory.settling = { ampMs: 0, ms: 0 };
  if (ms === 0) return;
  memory.levels.push(ampMs / ms);
  if (memory.levels.length > LEVELS_KEPT) memory.levels.shift();
  memory.runningAmps = learnedAmps(memory.levels);
}

/** Levels far below the upper ones are a fan or a standby, and one far above them is a jam. */
const UPPER_RATIO = 0.4;

function learnedAmps(levels: readonly number[]): number | null {
  const sorted = [...levels].sort((a, b) => b - a);
  const top = (sorted.length >= 3 ? sorted[1] : sorted[0]) ?? 0;
  return median(levels.filter((own) => own > top * UPPER_RATIO));
}

const steps = new WeakMap<Boat, Map<PartId, number>>();

/** Longest time between two readings of a circuit that is not yet a gap, in milliseconds. */
function longestStep(boat: Boat, circuit: Circuit): number {
  let own = steps.get(boat);
  if (!own) {
    own = new Map();
    for (const point of boat.points.values()) {
      if (point.quantity !== 'amps' && point.quantity !== 'watts') continue;
      own.set(point.of, Math.max(own.get(point.of) ?? 0, staleAfterMs(boat, point)));
    }
    steps.set(boat, own);
  }
  return own.get(circuit.id) ?? 0;
}

const round = (value: number, digits: number): number =>
  Math.round(value * 10 ** digits) / 10 ** digits;

function duty(list: readonly Bucket[], window: DutyWindow, nowMs: number): DutyState {
  const { runMs, knownMs, spanMs, starts } = countOf(list, window, nowMs);
  return {
    dutyRatio: knownMs === 0 ? null : round(runMs / knownMs, 2),
    coverageRatio: round(knownMs / spanMs, 2),
    starts,
    runMinutes: Math.floor(runMs / 60_000),
  };
}

function phaseNow(
  memory: HabitMemory | undefined,
  amps: Known,
  nowMs: number,
): CircuitHabits['phase'] {
  if (amps.value === null || !memory) return 'unknown';
  const sinceMs = memory.stretch.sinceMs ?? 0;
  // A slow sensor's first reading shows no longer a start once the start is over.
  return memory.phase === 'starting' && nowMs - sinceMs >= STARTING_MS ? 'running' : memory.phase;
}

function stateOf(memory: HabitMemory | undefined, amps: Known, nowMs: number): CircuitHabits {
  const peak = memory ? median(memory.peaks) : null;
  const running = memory?.runningAmps ?? null;
  const normal = memory?.normal;
  return {
    phase: phaseNow(memory, amps, nowMs),
    runningAmps: running === null ? null : round(running, 2),
    startPeakAmps: peak === null ? null : round(peak, 1),
    lastHour: duty(memory?.hour ?? [], HOUR_WINDOW, nowMs),
    lastDay: duty(memory?.day ?? [], DAY_WINDOW, nowMs),
    lastStartMs: memory?.lastStartMs ?? null,
    normal: normal
      ? {
          days: normal.days,
          dutyRatio: round(normal.dutyRatio, 2),
          startsPerDay: round(normal.startsPerDay, 1),
          longestRunMinutes: Math.round(normal.longestRunMs / 60_000),
          longestRestMinutes: Math.round(normal.longestRestMs / 60_000),
        }
      : null,
  };
}
