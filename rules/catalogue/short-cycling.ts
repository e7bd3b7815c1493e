/**
 * A motor whose runs usually last starts and stops in short bursts. Only against its own normal: a
 * pump that always runs for seconds is not short of anything.
 */
import type { Check, Verdict } from '../alerts/check.ts';
import type { Boat, Circuit } from '../boat/boat.ts';
import type { HabitMemory } from '../panel/habit-memory.ts';
import { NOT_AT_WORK } from './modes.ts';
import { CAUTIONS, circuitState, duration, habitOf, placeWords, pointsOf } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';

const RULE = 'short-cycling';

const DAYS_TO_LEARN = 3;
/** Its usual run must be so many times a short one. */
const USUAL_RATIO = 2;

/** How long its runs usually last; null where they are not known, or short anyway. */
function usualRun({ limits }: Boat, memory: HabitMemory | undefined): number | null {
  const normal = memory?.normal;
  if (!normal || normal.days < DAYS_TO_LEARN || normal.typicalRunMs === null) return null;
  const isLong = normal.typicalRunMs >= limits.shortRunMinutes * 60_000 * USUAL_RATIO;
  return isLong ? normal.typicalRunMs : null;
}

/** Lengths of the short runs that ended a little while ago. */
export function shortRuns(
  memory: HabitMemory | undefined,
  withinMs: number,
  shorterMs: number,
  nowMs: number,
): [endMs: number, ranMs: number][] {
  return (memory?.runs ?? []).filter(
    ([endMs, ranMs]) => endMs > nowMs - withinMs && ranMs < shorterMs,
  );
}

function check(context: RuleContext, circuit: Circuit): Check {
  const { boat, panel, nowMs } = context;
  const { limits } = boat;
  const windowMs = limits.shortRunsMinutes * 60_000;
  const memory = habitOf(context, circuit.id);
  const usualMs = usualRun(boat, memory);
  const runs =
    usualMs === null ? [] : shortRuns(memory, windowMs, limits.shortRunMinutes * 60_000, nowMs);
  const verdict = (): Verdict => {
    if (usualMs === null || runs.length === 0) return 'clear';
    if (circuitState(panel, circuit.id)?.activity === 'unknown') return 'unknown';
    return runs.length >= limits.shortRunsMost ? 'raise' : 'hold';
  };
  return {
    rule: RULE,
    key: `${RULE}.${circuit.id}`,
    modes: NOT_AT_WORK,
    levels: [{ priority: 'warning', verdict: verdict(), onDelayMs: 0 }],
    offDelayMs: 0,
    describe() {
      const meanMs = runs.reduce((sum, [, ranMs]) => sum + ranMs, 0) / Math.max(1, runs.length);
      return {
        rule: RULE,
        subject: { part: circuit.id },
        priority: 'warning',
        title: `${circuit.label} has stopped ${runs.length} times within ${duration(windowMs)} after short runs`,
        means: `It ran for ${duration(meanMs)} at a time; usually it runs for ${duration(usualMs ?? 0)}. A motor that starts so often runs hot; something stops it early: a protective switch, low voltage, or its control.`,
        doThis: `Give ${circuit.label}${placeWords(circuit)} a rest of some minutes, see whether its air, water and voltage are as they should be, and have it looked at if it goes on.`,
        cautions: [CAUTIONS.neverProvesDead, CAUTIONS.electrician],
        evidence: [
          {
            what: `Short runs within ${duration(windowMs)}`,
            value: runs.length,
            threshold: limits.shortRunsMost,
            unit: '',
          },
          {
            what: 'Mean length of a run',
            value: Math.round(meanMs / 1000),
            threshold: limits.shortRunMinutes * 60,
            unit: 's',
          },
        ],
        confidence: 'measured',
        points: pointsOf(boat, circuit.id),
      };
    },
  };
}

export const shortCycling: Rule = (context) =>
  context.boat.circuits
    .filter((circuit) => circuit.load === 'motor' && circuit.duty === undefined)
    .map((circuit) => check(context, circuit));
