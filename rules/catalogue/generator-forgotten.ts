/** A generator runs for longer than anybody plans to: forgotten, or its stop did not work. */
import { z } from 'zod';
import type { Check, Verdict } from '../alerts/check.ts';
import { remembering } from './catalogue-rule.ts';
import {
  followRun,
  freshRun,
  generatorRunSchema,
  generatorsOf,
  runningForMs,
} from './generator-run.ts';
import type { GeneratorRun } from './generator-run.ts';
import { ONLY_AWAY } from './modes.ts';
import { CAUTIONS, duration, pointsOf } from './rule.ts';
import type { RuleContext } from './rule.ts';

const RULE = 'generator-forgotten';
const HOUR_MS = 3_600_000;

const memorySchema = z.record(z.string(), generatorRunSchema);
type Memory = z.infer<typeof memorySchema>;

function verdict({ boat, nowMs }: RuleContext, run: GeneratorRun, isSeen: boolean): Verdict {
  if (!isSeen) return 'unknown';
  return runningForMs(run, nowMs) >= boat.limits.generatorRunHours * HOUR_MS ? 'raise' : 'clear';
}

export const generatorForgotten = remembering<Memory>({
  name: RULE,
  fresh: () => ({}),
  isSound: (saved): saved is Memory => memorySchema.safeParse(saved).success,
  checks: (context, memory) =>
    generatorsOf(context).map(({ generator, state }): Check => {
      const { boat, nowMs, mode } = context;
      const run = (memory[generator.id] ??= freshRun());
      followRun(run, context, state, nowMs);
      const isSeen = state.legs.every((leg) => leg.live !== 'unknown');
      const now = verdict(context, run, isSeen);
      const hours = runningForMs(run, nowMs) / HOUR_MS;
      return {
        rule: RULE,
        key: `${RULE}.${generator.id}`,
        levels: [
          { priority: 'warning', verdict: now, onDelayMs: 0, modes: ONLY_AWAY },
          { priority: 'caution', verdict: now, onDelayMs: 0 },
        ],
        offDelayMs: boat.limits.idleGeneratorClearSeconds * 1000,
        describe: (priority) => ({
          rule: RULE,
          subject: { part: generator.id },
          priority,
          title: `${generator.label} has been running for ${duration(hours * HOUR_MS)}`,
          means:
            mode === 'away'
              ? 'Nobody is aboard to look after it.'
              : 'It may have been forgotten, or it was told to stop and did not.',
          doThis: `Stop it if nothing needs it: loads off first, then let it run unloaded for a few minutes. A longer plan belongs in the boat file.`,
          cautions: [CAUTIONS.loadsOff, CAUTIONS.generator],
          evidence: [
            {
              what: 'Running for',
              value: hours,
              threshold: boat.limits.generatorRunHours,
              unit: 'h',
            },
          ],
          confidence: 'measured',
          points: pointsOf(boat, generator.id),
        }),
      };
    }),
});
