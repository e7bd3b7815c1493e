/** Days of a circuit's habits: counted while they last, closed at midnight UTC, and their medians. */
import { median } from './habit-memory.ts';
import type { HabitDay, HabitMemory, HabitNormal, HabitToday } from './habit-memory.ts';

const DAY_MS = 86_400_000;
const DAYS_KEPT = 14;
const WEEKS_KEPT = 10;
/** A day of which less is known is not compared with others. */
const KNOWN_SHARE = 0.5;

export const dayOf = (atMs: number): number => Math.floor(atMs / DAY_MS);

export const freshDay = (day: number): HabitToday => ({
  day,
  runMs: 0,
  knownMs: 0,
  starts: 0,
  longestRunMs: 0,
  longestRestMs: 0,
  endedRuns: 0,
  endedRunMs: 0,
});

/** Counts a stretch of known time, closing every day whose midnight lies in it. */
export function addToDays(memory: HabitMemory, fromMs: number, toMs: number, ran: boolean): void {
  let atMs = fromMs;
  while (atMs < toMs) {
    openDay(memory, dayOf(atMs));
    const endMs = Math.min(toMs, (dayOf(atMs) + 1) * DAY_MS);
    const { today, stretch } = memory;
    today.knownMs += endMs - atMs;
    stretch.seenMs += endMs - atMs;
    if (ran) {
      today.runMs += endMs - atMs;
      today.longestRunMs = Math.max(today.longestRunMs, stretch.seenMs);
    } else {
      today.longestRestMs = Math.max(today.longestRestMs, stretch.seenMs);
    }
    atMs = endMs;
  }
}

/** Makes `day` the one that is counted; the one before it is closed. */
export function openDay(memory: HabitMemory, day: number): void {
  const { today } = memory;
  if (today.day === day) return;
  if (today.knownMs >= KNOWN_SHARE * DAY_MS) closeDay(memory, today);
  memory.today = freshDay(day);
}

function closeDay(memory: HabitMemory, today: HabitToday): void {
  memory.days.push({
    day: today.day,
    dutyRatio: today.runMs / today.knownMs,
    starts: Math.round((today.starts * DAY_MS) / today.knownMs),
    longestRunMs: today.longestRunMs,
    longestRestMs: today.longestRestMs,
    meanRunMs: today.endedRuns === 0 ? null : Math.round(today.endedRunMs / today.endedRuns),
  });
  if (memory.days.length > DAYS_KEPT) memory.days.shift();
  memory.normal = normalOf(memory.days);
  memory.daysOfWeek += 1;
  if (memory.daysOfWeek < 7) return;
  memory.daysOfWeek = 0;
  memory.weeks.push(weekDuty(memory) ?? 0);
  if (memory.weeks.length > WEEKS_KEPT) memory.weeks.shift();
}

/** Median duty of the seven newest days; null while fewer are known. */
export function weekDuty(memory: HabitMemory): number | null {
  const days = memory.days.slice(-7);
  return days.length < 7 ? null : median(days.map((own) => own.dutyRatio));
}

function normalOf(days: readonly HabitDay[]): HabitNormal {
  const of = (pick: (day: HabitDay) => number): number => median(days.map(pick)) ?? 0;
  return {
    days: days.length,
    dutyRatio: of((day) => day.dutyRatio),
    startsPerDay: of((day) => day.starts),
    longestRunMs: of((day) => day.longestRunMs),
    longestRestMs: of((day) => day.longestRestMs),
    typicalRunMs: median(days.flatMap((day) => (day.meanRunMs === null ? [] : [day.meanRunMs]))),
    longestRestMsMost: Math.max(...days.map((day) => day.longestRestMs)),
  };
}
