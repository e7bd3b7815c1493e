/**
 * The quietest half hour of a day is what drains a bank when nobody uses anything. When that is
 * well above the boat's own usual for days in a row, something was left on or leaks current.
 */
import { z } from 'zod';
import type { Check, Verdict } from '../alerts/check.ts';
import type { Battery, Boat } from '../boat/boat.ts';
import { dcLoadAmps } from '../panel/batteries.ts';
import type { BatteryState } from '../panel/panel-state.ts';
import { largestLoads } from './battery-words.ts';
import { remembering } from './catalogue-rule.ts';
import { AT_REST } from './modes.ts';
import { amps, CAUTIONS, duration, pointsOf } from './rule.ts';
import type { RuleContext } from './rule.ts';

const RULE = 'quiet-drain';

const HALF_HOUR_MS = 30 * 60_000;
const DAY_MS = 86_400_000;
/** Half-hours that a day must have been watched before its quietest one means anything. */
const LEAST_HALVES = 24;
/** Days that must have been seen before there is a usual. */
const LEAST_DAYS = 5;
/** The usual is that of so many days; days above it count less, but in the end they become it. */
const USUAL_DAYS = 14;
const DRAINED_DAYS = 30;

const bankSchema = z.object({
  day: z.number(),
  halves: z.number(),
  half: z.object({ ampMs: z.number(), ms: z.number() }),
  /** Quietest half hour of the day that is running. */
  leastAmps: z.number().nullable(),
  /** Of the last whole day. */
  lastAmps: z.number().nullable(),
  usualAmps: z.number(),
  days: z.number(),
  daysAbove: z.number(),
});
type Bank = z.infer<typeof bankSchema>;
const memorySchema = z.record(z.string(), bankSchema);
type Memory = z.infer<typeof memorySchema>;

const freshBank = (): Bank => ({
  day: -1,
  halves: 0,
  half: { ampMs: 0, ms: 0 },
  leastAmps: null,
  lastAmps: null,
  usualAmps: 0,
  days: 0,
  daysAbove: 0,
});

/** Drain by loads alone; null where a charging source may hide some of it. */
function drainAmps({ boat, panel }: RuleContext, battery: Battery, state: BatteryState) {
  const loads = dcLoadAmps(boat, battery, panel.buses);
  if (loads !== null) return loads;
  const isHidden = boat.sources.some((source) => {
    const charges = source.kind === 'solar' || source.kind === 'alternator';
    if (!charges || source.battery !== battery.id) return false;
    const own = panel.sources.find((found) => found.id === source.id);
    const value = own?.legs[0]?.amps.value ?? null;
    return value === null || value > boat.limits.drawingAmps;
  });
  return isHidden || state.drainAmps === null || state.drainAmps < 0 ? null : state.drainAmps;
}

const raiseAbove = ({ limits }: Boat, usualAmps: number): number =>
  Math.max(usualAmps * limits.quietDrainRatio, usualAmps + limits.quietDrainAmps);

function watch(
  bank: Bank,
  boat: Boat,
  drain: number | null,
  passedMs: number,
  nowMs: number,
): void {
  const day = Math.floor(nowMs / DAY_MS);
  if (day !== bank.day) endDay(bank, boat, day);
  if (drain === null) return;
  bank.half.ampMs += drain * passedMs;
  bank.half.ms += passedMs;
  if (bank.half.ms < HALF_HOUR_MS) return;
  const mean = bank.half.ampMs / bank.half.ms;
  bank.leastAmps = Math.min(bank.leastAmps ?? mean, mean);
  bank.halves += 1;
  bank.half = { ampMs: 0, ms: 0 };
}

function endDay(bank: Bank, boat: Boat, day: number): void {
  const base = bank.halves >= LEAST_HALVES ? bank.leastAmps : null;
  if (base !== null) {
    const isAbove = bank.days >= LEAST_DAYS && base > raiseAbove(boat, bank.usualAmps);
    bank.daysAbove = isAbove ? bank.daysAbove + 1 : 0;
    bank.days += 1;
    const share = isAbove ? DRAINED_DAYS : Math.min(USUAL_DAYS, bank.days);
    bank.usualAmps += (base - bank.usualAmps) / share;
    bank.lastAmps = base;
  }
  bank.day = day;
  bank.halves = 0;
  bank.half = { ampMs: 0, ms: 0 };
  bank.leastAmps = null;
}

function verdict(bank: Bank, days: number): Verdict {
  if (bank.daysAbove >= days) return 'raise';
  return bank.daysAbove === 0 ? 'clear' : 'hold';
}

function check(context: RuleContext, battery: Battery, state: BatteryState, bank: Bank): Check {
  const { boat, mode } = context;
  const { limits } = boat;
  return {
    rule: RULE,
    key: `${RULE}.${battery.id}`,
    modes: AT_REST,
    levels: [{ priority: 'caution', verdict: verdict(bank, limits.quietDrainDays), onDelayMs: 0 }],
    offDelayMs: 0,
    describe() {
      const drain = bank.lastAmps ?? 0;
      const hours = ((1 - state.floorRatio) * battery.ampHours) / Math.max(drain, 0.01);
      return {
        rule: RULE,
        subject: { part: battery.id },
        priority: 'caution',
        title: `Quiet drain of ${state.label} is ${amps(drain)}; usual is ${amps(bank.usualAmps)}`,
        means: [
          `So much flows even in the quietest half hour of the day, on ${bank.daysAbove} days in a row; alone it takes a full bank down to its floor in ${duration(hours * 3_600_000)}.`,
          mode === 'away' ? 'Nobody is aboard to use it.' : '',
          largestLoads(context, battery.id),
        ]
          .filter(Boolean)
          .join(' '),
        doThis:
          'Look for what was left on: an inverter, a light, a heater; switch circuits off one by one and see which takes it down.',
        cautions: [CAUTIONS.electrician],
        evidence: [
          {
            what: 'Drain in the quietest half hour',
            value: drain,
            threshold: raiseAbove(boat, bank.usualAmps),
            unit: 'A',
          },
        ],
        confidence: 'inferred',
        points: pointsOf(boat, battery.id),
      };
    },
  };
}

export const quietDrain = remembering<Memory>({
  name: RULE,
  fresh: () => ({}),
  isSound: (saved): saved is Memory => memorySchema.safeParse(saved).success,
  checks: (context, memory) =>
    context.boat.batteries.flatMap((battery) => {
      const state = context.panel.batteries.find((own) => own.id === battery.id);
      if (!state) return [];
      const bank = (memory[battery.id] ??= freshBank());
      // Under way instruments and lights are no drain, and neither is what work switches on.
      const isAtRest = AT_REST.includes(context.mode);
      const drain = isAtRest ? drainAmps(context, battery, state) : null;
      watch(bank, context.boat, drain, context.passedMs, context.nowMs);
      return [check(context, battery, state, bank)];
    }),
});
