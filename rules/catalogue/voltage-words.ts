/** What low and high voltage share: which legs count, how the repeat is held back, how it is told. */
import * as z from 'zod';
import type { Level } from '../alerts/check.ts';
import type { Evident } from '../alerts/alert.ts';
import type { LegState, SourceState } from '../panel/panel-state.ts';
import type { RuleContext } from './rule.ts';

export const repeatSchema = z.object({
  isStanding: z.boolean(),
  /** When its last alert was over; null while one stands and before the first. */
  endedAtMs: z.number().nullable(),
  /** Days of the record, counted from its own zero, on which it was raised; the last fortnight. */
  days: z.array(z.number()),
});

export type Repeat = z.infer<typeof repeatSchema>;

export const freshRepeat = (): Repeat => ({ isStanding: false, endedAtMs: null, days: [] });

const DAY_MS = 86_400_000;

/** Notes whether the alert stands, and on which days it did. */
export function noteRepeat(repeat: Repeat, { standing, nowMs }: RuleContext, key: string): void {
  const isStanding = standing.has(key);
  if (isStanding) {
    const day = Math.floor(nowMs / DAY_MS);
    repeat.endedAtMs = null;
    if (repeat.days.at(-1) !== day) repeat.days = [...repeat.days.slice(-13), day];
  } else if (repeat.isStanding) repeat.endedAtMs = nowMs;
  repeat.isStanding = isStanding;
}

/** Days among the last seven with such an alert, today's own included. */
export const daysOfSeven = (repeat: Repeat, nowMs: number): number =>
  repeat.days.filter((day) => day > Math.floor(nowMs / DAY_MS) - 7).length;

/**
 * Levels that wait: whatever hovers about a limit is told once an hour at most. An alarm is never
 * held back.
 */
export function heldBack(levels: Level[], repeat: Repeat, { boat, nowMs }: RuleContext): Level[] {
  const { endedAtMs } = repeat;
  const isSoon =
    endedAtMs !== null && nowMs - endedAtMs < boat.limits.voltageRepeatMinutes * 60_000;
  if (!isSoon) return levels;
  return levels.map((level) =>
    level.priority === 'alarm' || level.verdict !== 'raise' ? level : { ...level, verdict: 'hold' },
  );
}

/** Legs with their volts as a share of nominal; those that are dead or unknown are left out. */
export function shares(
  { boat }: RuleContext,
  state: SourceState,
): { leg: LegState; ratio: number }[] {
  const nominal = boat.ac?.volts ?? 0;
  return state.legs.flatMap((leg) => {
    const ratio = (leg.volts.value ?? 0) / nominal;
    return leg.volts.value === null || ratio < boat.limits.deadRatio ? [] : [{ leg, ratio }];
  });
}

export const voltsOfLegs = (state: SourceState, thresholdVolts: number): Evident[] =>
  state.legs.map((leg) => ({
    what: state.legs.length > 1 ? `Voltage on leg ${leg.leg}` : 'Voltage',
    value: leg.volts.value,
    threshold: thresholdVolts,
    unit: 'V',
  }));
