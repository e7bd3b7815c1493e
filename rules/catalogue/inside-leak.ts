/**
 * Fresh water leaks inside the boat: its pump runs on and on, and a bilge pump has begun to start.
 * The one cause of both, so it tells what either would say by itself.
 */
import type { Finding } from '../alerts/alert.ts';
import type { Check, Verdict } from '../alerts/check.ts';
import { inWords } from '../panel/reasons.ts';
import { LONG_RUN, OFTEN, runIsEmergency, startsAreEmergency } from './bilge-pump.ts';
import { FRESH_DRY, FRESH_LONG_RUN } from './fresh-water-pump.ts';
import { runningMs, startsSince } from './pump-strokes.ts';
import { isSilent, lengthWords, times } from './pump-words.ts';
import type { Pump } from './pump-words.ts';
import { CAUTIONS, pointsOf } from './rule.ts';
import type { RuleContext } from './rule.ts';
import { keyOf } from './rule-names.ts';

const RULE = 'fresh-water-leak';

/** Starts of the bilge pump since the fresh-water pump began its run. */
const startsWith = (fresh: Pump, bilge: Pump): number =>
  startsSince(bilge.memory, (fresh.memory.run?.startMs ?? Infinity) - 1);

/** Two starts in a run, or one in a run that is long by itself: one alone may be chance. */
function verdict({ boat }: RuleContext, fresh: Pump, bilges: readonly Pump[]): Verdict {
  const ranMs = runningMs(fresh.memory);
  const { insideLeakMinutes, freshWaterRunMinutes } = boat.limits;
  const starts = bilges.reduce((sum, bilge) => sum + startsWith(fresh, bilge), 0);
  const isLeak =
    (ranMs >= insideLeakMinutes * 60_000 && starts >= 2) ||
    (ranMs >= freshWaterRunMinutes * 60_000 && starts >= 1);
  if (isSilent(fresh)) return 'unknown';
  if (isLeak) return 'raise';
  return ranMs > 0 && bilges.some(isSilent) ? 'unknown' : 'clear';
}

export function insideLeak(context: RuleContext, fresh: Pump, bilges: readonly Pump[]): Check {
  const { boat } = context;
  const { label, id } = fresh.circuit;
  const leaks = verdict(context, fresh, bilges);
  const isEmergency = bilges.some(
    (bilge) => runIsEmergency(bilge, context) || startsAreEmergency(bilge, context),
  );
  const ids = bilges.map((bilge) => bilge.circuit.id);
  return {
    rule: RULE,
    key: `${RULE}.${id}`,
    levels: [
      // What it explains must not be told less urgently than it would be alone.
      {
        priority: 'emergency alarm',
        verdict: leaks === 'raise' && !isEmergency ? 'clear' : leaks,
        onDelayMs: 0,
      },
      { priority: 'alarm', verdict: leaks, onDelayMs: 0 },
    ],
    offDelayMs: boat.limits.insideLeakClearMinutes * 60_000,
    explains: [
      keyOf(FRESH_LONG_RUN, id),
      keyOf(FRESH_DRY, id),
      ...ids.flatMap((bilge) => [keyOf(OFTEN, bilge), keyOf(LONG_RUN, bilge)]),
    ],
    describe(priority): Finding {
      const ranMs = runningMs(fresh.memory);
      const started = bilges.filter((bilge) => startsWith(fresh, bilge) > 0);
      const words = started.map(
        (bilge) => `${bilge.circuit.label} started ${times(startsWith(fresh, bilge))}`,
      );
      return {
        rule: RULE,
        subject: { part: id },
        priority,
        title: `${label} has run for ${lengthWords(ranMs)} and ${inWords(words)}: a leak inside`,
        means:
          'Fresh water is likely to run into the bilge from a hose or fitting that has come off. The tank empties into the boat, and both pumps drain the battery.',
        doThis: `Switch ${label} off, then look for the hose that has come off, and see that the bilge is pumped out.`,
        cautions: [CAUTIONS.bilgeWater, CAUTIONS.rotating],
        evidence: [
          {
            what: `${label} running without a pause`,
            value: Math.round(ranMs / 60_000),
            threshold: boat.limits.insideLeakMinutes,
            unit: 'min',
          },
          ...started.map((bilge) => ({
            what: `Starts of ${bilge.circuit.label} in that time`,
            value: startsWith(fresh, bilge),
            threshold: ranMs >= boat.limits.freshWaterRunMinutes * 60_000 ? 1 : 2,
            unit: '',
          })),
        ],
        confidence: 'inferred',
        points: pointsOf(boat, id, ...ids),
      };
    },
  };
}
