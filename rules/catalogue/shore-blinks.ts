/**
 * Short losses of shore power, counted over 24 hours and told together. One that is over within the
 * on-delay of `shore-power-lost` is told by nobody else; a longer one has its own alert as well, so
 * that a loss is never kept back because it may turn out short.
 */
import * as z from 'zod';
import type { Check } from '../alerts/check.ts';
import { remembering } from './catalogue-rule.ts';
import { AT_REST } from './modes.ts';
import { CAUTIONS, pointsOf, duration } from './rule.ts';
import type { RuleContext } from './rule.ts';
import type { Inlet } from './shore-inlets.ts';
import { inletsOf, lastFed } from './shore-inlets.ts';

const RULE = 'shore-blinks';
const DAY_MS = 86_400_000;
/** More a day change nothing in what is told. */
const MOST_KEPT = 200;

const tallySchema = z.object({
  /** Since when it is dead; null while it is live. */
  deadSinceMs: z.number().nullable(),
  blinks: z.array(z.object({ atMs: z.number(), lastedMs: z.number() })),
});

const memorySchema = z.record(z.string(), tallySchema);
type Memory = z.infer<typeof memorySchema>;
type Tally = z.infer<typeof tallySchema>;

function note({ boat, nowMs }: RuleContext, { state }: Inlet, tally: Tally): void {
  const isDead = state.legs.some((leg) => leg.live === 'dead');
  if (isDead) tally.deadSinceMs ??= nowMs;
  else if (tally.deadSinceMs !== null && state.legs.every((leg) => leg.live === 'live')) {
    const lastedMs = nowMs - tally.deadSinceMs;
    if (lastedMs <= boat.limits.blinkMinutes * 60_000) {
      tally.blinks.push({ atMs: tally.deadSinceMs, lastedMs });
    }
    tally.deadSinceMs = null;
  }
  const [first] = tally.blinks;
  if (first && (nowMs - first.atMs > DAY_MS || tally.blinks.length > MOST_KEPT)) {
    tally.blinks.shift();
  }
}

function check(context: RuleContext, own: Inlet, tally: Tally): Check {
  const { boat, nowMs } = context;
  // An inlet that feeds nothing is unplugged and plugged in at will.
  const isWatched = lastFed(context, own.inlet.id).length > 0;
  // Who casts off, or works on the supply, switches it off and on.
  const isAtRest = AT_REST.includes(context.mode);
  if (!isAtRest) tally.deadSinceMs = null;
  else if (isWatched) note(context, own, tally);
  const { blinks } = tally;
  const isMany = isWatched && blinks.length >= boat.limits.blinksPerDay;
  return {
    rule: RULE,
    key: `${RULE}.${own.inlet.id}`,
    modes: AT_REST,
    levels: [{ priority: 'caution', verdict: isMany ? 'raise' : 'clear', onDelayMs: 0 }],
    offDelayMs: 0,
    describe() {
      const longest = Math.max(...blinks.map((blink) => blink.lastedMs));
      const last = blinks.at(-1)?.atMs ?? nowMs;
      return {
        rule: RULE,
        subject: { part: own.inlet.id },
        priority: 'caution',
        title: `Shore power blinked ${blinks.length} times within 24 hours at ${own.inlet.label}`,
        means: `The longest lasted ${duration(longest)}, the last was ${duration(nowMs - last)} ago. A loose plug or a failing breaker on the dock does this, and so does the grid.`,
        doThis:
          'See that the plug is home and its ring tight, and ask whether the neighbours had it too.',
        cautions: [CAUTIONS.shorePlug],
        evidence: [
          {
            what: 'Short losses within 24 hours',
            value: blinks.length,
            threshold: boat.limits.blinksPerDay,
            unit: '',
          },
        ],
        confidence: 'measured',
        points: pointsOf(boat, own.inlet.id),
      };
    },
  };
}

export const shoreBlinks = remembering<Memory>({
  name: RULE,
  fresh: () => ({}),
  isSound: (saved): saved is Memory => memorySchema.safeParse(saved).success,
  checks: (context, memory) =>
    inletsOf(context).map((own) =>
      check(context, own, (memory[own.inlet.id] ??= { deadSinceMs: null, blinks: [] })),
    ),
});
