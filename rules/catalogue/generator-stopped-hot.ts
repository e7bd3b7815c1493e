/**
 * A generator that stops straight from load has hot spots that its cooling no longer reaches. Every
 * such stop is on record; the lesson is told in full once.
 */
import { z } from 'zod';
import type { Check } from '../alerts/check.ts';
import { remembering } from './catalogue-rule.ts';
import { followRun, freshRun, generatorRunSchema, generatorsOf } from './generator-run.ts';
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
      return {
        rule: RULE,
        key: `${RULE}.${generator.id}`,
        levels: [{ priority: 'caution', verdict: isTold ? 'raise' : 'clear', onDelayMs: 0 }],
        offDelayMs: 0,
        describe: () => ({
          rule: RULE,
          subject: { part: generator.id },
          priority: 'caution',
          title: `${generator.label} stopped ${Math.round(last?.unloadedSeconds ?? 0)} s after it carried ${percent(last?.ratio ?? 0)} load`,
          means:
            own.count > 1
              ? `Stops straight from load that were seen so far: ${own.count}. If nobody stopped it, it has stopped by itself.`
              : 'Straight from load, turbocharger and cylinder heads stay hot while oil and water stand still; it shortens the life of the engine. If nobody stopped it, it has stopped by itself: fuel, cooling water, overload.',
          doThis: `Before the next stop take the load off and let it run for a few minutes, at least ${limits.generatorCoolDownSeconds} s.`,
          cautions: [CAUTIONS.loadsOff, CAUTIONS.generator],
          evidence: [
            {
              what: 'Ran without load',
              value: last?.unloadedSeconds ?? null,
              threshold: limits.generatorCoolDownSeconds,
              unit: 's',
            },
            {
              what: 'Load before',
              value: (last?.ratio ?? 0) * 100,
              threshold: limits.generatorLoadedRatio * 100,
              unit: '%',
            },
          ],
          confidence: 'measured',
          points: pointsOf(boat, generator.id),
        }),
      };
    }),
});
