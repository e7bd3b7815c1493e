/**
 * A diesel that runs for long far below its rating glazes and soots. Told once it has gone on for
 * long, with what would help: the smaller set where it carries the same load, or loads to add.
 */
import { z } from 'zod';
import type { Finding } from '../alerts/alert.ts';
import type { Check, Verdict } from '../alerts/check.ts';
import type { Generator } from '../boat/boat.ts';
import { byId } from '../panel/lookup.ts';
import type { SourceState } from '../panel/panel-state.ts';
import { inWords } from '../panel/reasons.ts';
import { remembering } from './catalogue-rule.ts';
import {
  canFeed,
  followRun,
  freshRun,
  generatorRunSchema,
  generatorsOf,
  runningForMs,
} from './generator-run.ts';
import { NOT_AT_WORK } from './modes.ts';
import { amps, CAUTIONS, duration, percent, pointsOf } from './rule.ts';
import type { RuleContext } from './rule.ts';

const RULE = 'generator-underloaded';

/** Loads that may be added do not fill it beyond this. */
const FILL_RATIO = 0.8;

const ownSchema = z.object({
  run: generatorRunSchema,
  /** The light load so far. */
  wattMs: z.number(),
  ms: z.number(),
  peakWatts: z.number(),
  /** Since the load last was light. */
  otherMs: z.number(),
});
type Own = z.infer<typeof ownSchema>;
const memorySchema = z.record(z.string(), ownSchema);
type Memory = z.infer<typeof memorySchema>;

const freshOwn = (): Own => ({ run: freshRun(), wattMs: 0, ms: 0, peakWatts: 0, otherMs: 0 });

/** Share of rated watts; null where it is not known. */
function loadOf(generator: Generator, { watts, loadRatio }: SourceState): number | null {
  return watts.value === null ? loadRatio.value : Math.max(0, watts.value) / generator.wattsRated;
}

function verdict(
  { boat, nowMs }: RuleContext,
  generator: Generator,
  state: SourceState,
  own: Own,
): Verdict {
  const { limits } = boat;
  if (!state.legs.some((leg) => leg.live === 'live')) {
    return state.legs.every((leg) => leg.live === 'dead') ? 'clear' : 'unknown';
  }
  const load = loadOf(generator, state);
  if (load === null) return 'unknown';
  // With nothing connected at all it is an idle generator, which has words of its own.
  const delivers = state.legs.some((leg) => (leg.amps.value ?? 0) > limits.drawingAmps);
  if (!delivers && state.feeds.length === 0) return 'clear';
  const isWarm =
    own.run.startedMs === null ||
    runningForMs(own.run, nowMs) >= limits.generatorWarmUpMinutes * 60_000;
  if (!isWarm) return 'clear';
  if (load < limits.generatorLightRatio) return 'raise';
  return load >= limits.generatorLightRatio + limits.generatorLightDeadbandRatio ? 'clear' : 'hold';
}

function learn(own: Own, { boat, passedMs }: RuleContext, watts: number, now: Verdict): void {
  if (now === 'raise') {
    own.otherMs = 0;
    own.wattMs += watts * passedMs;
    own.ms += passedMs;
    own.peakWatts = Math.max(own.peakWatts, watts);
    return;
  }
  if (now === 'unknown') return;
  own.otherMs += passedMs;
  if (own.otherMs < boat.limits.generatorLightClearMinutes * 60_000) return;
  own.wattMs = 0;
  own.ms = 0;
  own.peakWatts = 0;
}

/** The smallest other set that carries this load and reaches the same buses, as a sentence. */
function smallerSet({ boat }: RuleContext, generator: Generator, state: SourceState, own: Own) {
  const fits = boat.sources
    .filter((other): other is Generator => other.kind === 'generator')
    .filter((other) => other.wattsRated < generator.wattsRated)
    .filter((other) => own.peakWatts <= other.wattsRated * boat.limits.generatorSmallerRatio)
    .filter((other) => state.feeds.every((bus) => canFeed(boat, other.id, bus)))
    .sort((a, b) => a.wattsRated - b.wattsRated);
  const [other] = fits;
  if (!other || own.ms === 0) return '';
  const meanWatts = own.wattMs / own.ms;
  return `${other.label} carries this load at ${percent(meanWatts / other.wattsRated)} of its rating, at most ${percent(own.peakWatts / other.wattsRated)} so far.`;
}

/** What could be switched on to load it, as a sentence. */
function loadsToAdd({ boat, panel }: RuleContext, generator: Generator, state: SourceState) {
  const volts = boat.ac?.volts ?? 0;
  let watts = state.watts.value ?? 0;
  const names: string[] = [];
  for (const circuit of boat.circuits) {
    const isWanted = circuit.load === 'resistive' || circuit.load === 'charger';
    const isBarred =
      circuit.standingOrder === 'leave off' || circuit.standingOrder === 'out of service';
    const now = byId(panel.circuits, circuit.id);
    if (!isWanted || isBarred || circuit.ampsRunning === undefined) continue;
    if (!state.feeds.includes(circuit.bus) || now?.activity !== 'not drawing') continue;
    const more = circuit.ampsRunning * volts * circuit.legs.length;
    if (names.length >= 3 || watts + more > generator.wattsRated * FILL_RATIO) continue;
    watts += more;
    names.push(`${circuit.label} (${amps(circuit.ampsRunning)})`);
  }
  if (names.length === 0) return '';
  return `With ${inWords(names, 'and')} switched on as well it would carry about ${percent(watts / generator.wattsRated)}.`;
}

function describe(
  context: RuleContext,
  generator: Generator,
  state: SourceState,
  own: Own,
): Finding {
  const { boat, nowMs } = context;
  const mean = own.ms > 0 ? own.wattMs / own.ms / generator.wattsRated : null;
  const load = mean ?? loadOf(generator, state) ?? 0;
  const options = [
    smallerSet(context, generator, state, own),
    loadsToAdd(context, generator, state),
  ].filter(Boolean);
  return {
    rule: RULE,
    subject: { part: generator.id },
    priority: 'caution',
    title: `${generator.label} has carried only ${percent(load)} of its rating for ${duration(own.ms)}`,
    means:
      'A diesel that runs long at a light load glazes its cylinders and soots its exhaust, and burns much fuel for little power.',
    doThis:
      options.length > 0
        ? options.join(' ')
        : 'Load it more, with the charger or a water heater, or run it for a shorter time.',
    cautions: [CAUTIONS.loadsOff, CAUTIONS.generator],
    evidence: [
      {
        what: 'Mean load',
        value: load * 100,
        threshold: boat.limits.generatorLightRatio * 100,
        unit: '%',
      },
      {
        what: 'Running for',
        value: runningForMs(own.run, nowMs) / 60_000,
        threshold: boat.limits.generatorLightMinutes,
        unit: 'min',
      },
    ],
    confidence: state.watts.evidence === 'measured' ? 'measured' : 'inferred',
    points: pointsOf(boat, generator.id),
  };
}

export const generatorUnderloaded = remembering<Memory>({
  name: RULE,
  fresh: () => ({}),
  isSound: (saved): saved is Memory => memorySchema.safeParse(saved).success,
  checks: (context, memory) =>
    generatorsOf(context).map(({ generator, state }): Check => {
      const { limits } = context.boat;
      const own = (memory[generator.id] ??= freshOwn());
      followRun(own.run, context, state, context.nowMs);
      const now = verdict(context, generator, state, own);
      learn(own, context, (loadOf(generator, state) ?? 0) * generator.wattsRated, now);
      return {
        rule: RULE,
        key: `${RULE}.${generator.id}`,
        modes: NOT_AT_WORK,
        levels: [
          {
            priority: 'caution',
            verdict: now,
            onDelayMs: limits.generatorLightMinutes * 60_000,
            gapMs: limits.generatorLightClearMinutes * 60_000,
          },
        ],
        offDelayMs: limits.generatorLightClearMinutes * 60_000,
        describe: () => describe(context, generator, state, own),
      };
    }),
});
