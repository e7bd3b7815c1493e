/** A generator is loaded within the first minute of its run, before oil and metal are warm. */
import { z } from 'zod';
import type { Check } from '../alerts/check.ts';
import { remembering } from './catalogue-rule.ts';
import { followRun, freshRun, generatorRunSchema, generatorsOf } from './generator-run.ts';
import { NOT_AT_WORK } from './modes.ts';
import { CAUTIONS, percent, pointsOf } from './rule.ts';
import type { RuleContext } from './rule.ts';

const RULE = 'generator-loaded-cold';

const ownSchema = z.object({
  run: generatorRunSchema,
  last: z.object({ atMs: z.number(), ratio: z.number(), afterSeconds: z.number() }).nullable(),
});
type Own = z.infer<typeof ownSchema>;
const memorySchema = z.record(z.string(), ownSchema);
type Memory = z.infer<typeof memorySchema>;

/** Once a run: by the first load that was seen. */
function watch(own: Own, { boat, nowMs }: RuleContext): void {
  const { loaded, startedMs, isRunning } = own.run;
  if (isRunning !== true || loaded === null || startedMs === null) return;
  if (own.last !== null && own.last.atMs >= startedMs) return;
  const afterSeconds = (loaded.atMs - startedMs) / 1000;
  if (afterSeconds >= boat.limits.generatorColdSeconds) return;
  own.last = { atMs: nowMs, ratio: loaded.ratio, afterSeconds };
}

export const generatorLoadedCold = remembering<Memory>({
  name: RULE,
  fresh: () => ({}),
  isSound: (saved): saved is Memory => memorySchema.safeParse(saved).success,
  checks: (context, memory) =>
    generatorsOf(context).map(({ generator, state }): Check => {
      const { boat, nowMs } = context;
      const { limits } = boat;
      const own = (memory[generator.id] ??= { run: freshRun(), last: null });
      followRun(own.run, context, state, nowMs);
      watch(own, context);
      const { last } = own;
      const isTold = last !== null && nowMs - last.atMs < limits.generatorLessonMinutes * 60_000;
      return {
        rule: RULE,
        key: `${RULE}.${generator.id}`,
        modes: NOT_AT_WORK,
        levels: [{ priority: 'caution', verdict: isTold ? 'raise' : 'clear', onDelayMs: 0 }],
        offDelayMs: 0,
        describe: () => ({
          rule: RULE,
          subject: { part: generator.id },
          priority: 'caution',
          title: `${generator.label} was loaded to ${percent(last?.ratio ?? 0)} within ${Math.round(last?.afterSeconds ?? 0)} s of its start`,
          means: 'Cold oil is slow to reach the bearings; a diesel wears most in its first minute.',
          doThis: `Let it run unloaded for ${limits.generatorColdSeconds} s or more before you switch loads on.`,
          cautions: [CAUTIONS.generator],
          evidence: [
            {
              what: 'Loaded after',
              value: last?.afterSeconds ?? null,
              threshold: limits.generatorColdSeconds,
              unit: 's',
            },
          ],
          confidence: 'measured',
          points: pointsOf(boat, generator.id),
        }),
      };
    }),
});
