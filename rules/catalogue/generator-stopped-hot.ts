/**
 * A generator that stops straight from load has hot spots that its cooling no longer reaches. Every
 * such stop is on record; the lesson is told in full once. One that stops under more than it is
 * rated for was not stopped by anybody: it stalled, too quickly for `overload` to see it.
 */
import { z } from 'zod';
import type { Finding, Priority } from '../alerts/alert.ts';
import type { Check } from '../alerts/check.ts';
import type { Generator } from '../boat/boat.ts';
import { remembering } from './catalogue-rule.ts';
import { followRun, freshRun, generatorRunSchema, generatorsOf } from './generator-run.ts';
import { NOT_AT_WORK } from './modes.ts';
import { CAUTIONS, percent, pointsOf } from './rule.ts';
import type { RuleContext } from './rule.ts';

const RULE = 'generator-stopped-hot';

const ownSchema = z.object({
  run: generatorRunSchema,
  /** Hot stops so far. */
  count: z.number(),
  last: z.object({ atMs: z.number(), ratio: z.number(), unloadedSeconds: z.number() }).nullable(),
});
type Own = z.infer<typeof ownSchema>;
const memorySchema = z.record(z.string(), ownSchema);
type Memory = z.infer<typeof memorySchema>;

function watch(own: Own, context: RuleContext, what: 'started' | 'stopped' | null): void {
  const { loaded } = own.run;
  if (what !== 'stopped' || loaded === null) return;
  const unloadedSeconds = (context.nowMs - loaded.atMs) / 1000;
  if (unloadedSeconds >= context.boat.limits.generatorCoolDownSeconds) return;
  own.count += 1;
  own.last = { atMs: context.nowMs, ratio: loaded.ratio, unloadedSeconds };
}

export const generatorStoppedHot = remembering<Memory>({
  name: RULE,
  fresh: () => ({}),
  isSound: (saved): saved is Memory => memorySchema.safeParse(saved).success,
  checks: (context, memory) =>
    generatorsOf(context).map(({ generator, state }): Check => {
      const { boat, nowMs } = context;
      const { limits } = boat;
      const own = (memory[generator.id] ??= { run: freshRun(), count: 0, last: null });
      watch(own, context, followRun(own.run, context, state, nowMs));
      const { last } = own;
      const isTold = last !== null && nowMs - last.atMs < limits.generatorLessonMinutes * 60_000;
      const hasStalled = isTold && isStall(last, limits.overloadRatio);
      return {
        rule: RULE,
        key: `${RULE}.${generator.id}`,
        modes: NOT_AT_WORK,
        levels: [
          { priority: 'warning', verdict: hasStalled ? 'raise' : 'clear', onDelayMs: 0 },
          { priority: 'caution', verdict: isTold ? 'raise' : 'clear', onDelayMs: 0 },
        ],
        offDelayMs: 0,
        describe: (priority) => describe(context, generator, own, priority),
      };
    }),
});

/** Nobody stops a set in the very seconds in which it is asked for too much. */
const STALL_SECONDS = 5;

const isStall = (last: NonNullable<Own['last']>, overloadRatio: number): boolean =>
  last.ratio > overloadRatio && last.unloadedSeconds <= STALL_SECONDS;

function words(
  { label }: Generator,
  { last, count }: Own,
  coolDownSeconds: number,
): Pick<Finding, 'title' | 'means' | 'doThis'> {
  return {
    title: `${label} stopped ${Math.round(last?.unloadedSeconds ?? 0)} s after it carried ${percent(last?.ratio ?? 0)} load`,
    means:
      count > 1
        ? `Stops straight from load that were seen so far: ${count}. If nobody stopped it, it has stopped by itself.`
        : 'Straight from load, turbocharger and cylinder heads stay hot while oil and water stand still; it shortens the life of the engine. If nobody stopped it, it has stopped by itself: fuel, cooling water, overload.',
    doThis: `Before the next stop take the load off and let it run for a few minutes, at least ${coolDownSeconds} s.`,
  };
}

const stallWords = (
  { label }: Generator,
  { last }: Own,
): Pick<Finding, 'title' | 'means' | 'doThis'> => ({
  title: `${label} stopped under overload: it carried ${percent(last?.ratio ?? 0)} of its rating`,
  means: 'It has most likely stalled under its load, and what it fed is without power.',
  doThis:
    'Switch the loads off, heavy ones first, before it is started again. Then switch them on one by one, or use a larger source.',
});

function describe(
  { boat }: RuleContext,
  generator: Generator,
  own: Own,
  priority: Priority,
): Finding {
  const { generatorCoolDownSeconds, generatorLoadedRatio, overloadRatio } = boat.limits;
  const { last } = own;
  const isStalled = priority === 'warning';
  return {
    rule: RULE,
    subject: { part: generator.id },
    priority,
    ...(isStalled ? stallWords(generator, own) : words(generator, own, generatorCoolDownSeconds)),
    cautions: [CAUTIONS.loadsOff, CAUTIONS.generator],
    evidence: [
      {
        what: 'Ran without load',
        value: last?.unloadedSeconds ?? null,
        threshold: generatorCoolDownSeconds,
        unit: 's',
      },
      {
        what: 'Load before',
        value: (last?.ratio ?? 0) * 100,
        threshold: (isStalled ? overloadRatio : generatorLoadedRatio) * 100,
        unit: '%',
      },
    ],
    confidence: 'measured',
    points: pointsOf(boat, generator.id),
  };
}
