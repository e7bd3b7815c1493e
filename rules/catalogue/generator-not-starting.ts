/**
 * A generator that is cranked again and again and does not start. Its start bank shows each try:
 * the volts fall away for some seconds and come back. Every try pumps sea water into an exhaust
 * that nothing blows out, so after a few of them the message is to stop, not to try harder.
 */
import { z } from 'zod';
import type { Check, Verdict } from '../alerts/check.ts';
import type { Battery, Boat, Generator } from '../boat/boat.ts';
import { inWords } from '../panel/reasons.ts';
import type { BatteryState } from '../panel/panel-state.ts';
import { remembering } from './catalogue-rule.ts';
import { generatorsOf, isRunning } from './generator-run.ts';
import { CAUTIONS, duration, pointsOf } from './rule.ts';
import type { RuleContext } from './rule.ts';

const RULE = 'generator-not-starting';

const bankSchema = z.object({
  /** Volts while nothing cranks; null until they are known. */
  levelVolts: z.number().nullable(),
  /** When the dip that is going on began. */
  dipSinceMs: z.number().nullable(),
  /** When tries ended after which nothing ran, oldest first; the newest may still prove a start. */
  tries: z.array(z.number()),
});
type Bank = z.infer<typeof bankSchema>;
const memorySchema = z.record(z.string(), bankSchema);
type Memory = z.infer<typeof memorySchema>;

/** The level follows the volts over about so long, so that a charger does not look like a dip's end. */
const LEVEL_MS = 30_000;
/** A dip is over when the volts have come back by this share of it. */
const BACK_RATIO = 0.5;
/** An alternator lifts a bank of 12 V by more than this. */
const LIFT_VOLTS = 0.5;

interface Started {
  battery: Battery;
  state: BatteryState;
  generators: Generator[];
  /** Any of them runs; null where that is not known. */
  runs: boolean | null;
}

/** Every bank that cranks generators. */
function startBanks(context: RuleContext): Started[] {
  const { boat, panel } = context;
  const all = generatorsOf(context);
  return boat.batteries.flatMap((battery) => {
    const own = all.filter(({ generator }) => generator.startBattery === battery.id);
    const state = panel.batteries.find(({ id }) => id === battery.id);
    if (own.length === 0 || !state) return [];
    const runs = new Set(own.map((one) => isRunning(one.state)));
    const known = runs.has(true) ? true : runs.has(null) ? null : false;
    return [{ battery, state, generators: own.map(({ generator }) => generator), runs: known }];
  });
}

function note(own: Bank, { boat, nowMs, passedMs }: RuleContext, bank: Started): void {
  const { limits } = boat;
  const forgetMs = limits.crankForgetMinutes * 60_000;
  own.tries = own.tries.filter((atMs) => nowMs - atMs < forgetMs);
  const volts = bank.state.volts.value;
  // An engine that started lifts its bank's volts, be it another one on the same bank.
  const lift = (LIFT_VOLTS * bank.battery.volts) / 12;
  const isLifted = volts !== null && own.levelVolts !== null && volts >= own.levelVolts + lift;
  if (bank.runs === true || isLifted) own.tries = [];
  if (volts === null || bank.runs === null) {
    own.dipSinceMs = null;
    return;
  }
  followDip(own, boat, bank.battery, volts, nowMs, passedMs);
}

function followDip(
  own: Bank,
  { limits }: Boat,
  battery: Battery,
  volts: number,
  nowMs: number,
  passedMs: number,
): void {
  const dip = (limits.crankDipVolts * battery.volts) / 12;
  own.levelVolts ??= volts;
  if (own.dipSinceMs === null) {
    if (volts <= own.levelVolts - dip) own.dipSinceMs = nowMs;
    else own.levelVolts += (1 - Math.exp(-passedMs / LEVEL_MS)) * (volts - own.levelVolts);
    return;
  }
  const isLong = nowMs - own.dipSinceMs > limits.crankMostSeconds * 1000;
  if (isLong) own.levelVolts = volts;
  else if (volts < own.levelVolts - BACK_RATIO * dip) return;
  else own.tries.push(nowMs);
  own.dipSinceMs = null;
}

/** Tries that have had their time to prove a start. */
const failed = ({ tries }: Bank, { boat, nowMs }: RuleContext): number[] =>
  tries.filter((atMs) => nowMs - atMs >= boat.limits.crankProveSeconds * 1000);

function check(context: RuleContext, bank: Started, own: Bank): Check {
  const { boat, nowMs } = context;
  const { battery, generators, runs, state } = bank;
  note(own, context, bank);
  const tries = failed(own, context);
  const isSeen = runs !== null && state.volts.value !== null;
  const isOver = tries.length < boat.limits.crankTries;
  const verdict: Verdict = isOver ? (isSeen ? 'clear' : 'unknown') : 'raise';
  return {
    rule: RULE,
    key: `${RULE}.${battery.id}`,
    levels: [{ priority: 'warning', verdict, onDelayMs: 0 }],
    offDelayMs: 0,
    describe() {
      const names = generators.map(({ label }) => label);
      const which = names.length === 1 ? (names[0] ?? '') : `One of ${inWords(names)}`;
      const hasPetrol = generators.some(({ fuel }) => fuel !== 'diesel');
      return {
        rule: RULE,
        subject: { part: generators.length === 1 ? (generators[0]?.id ?? '') : battery.id },
        priority: 'warning',
        title: `${which} was cranked ${tries.length} times and has not started: stop cranking`,
        means: `${battery.label} dipped as a starter makes it ${tries.length} times in ${duration(nowMs - (tries[0] ?? nowMs))}, and no generator voltage came. Each try pumps cooling water into the exhaust, and an engine that does not run cannot blow it out: it can flow back and fill the cylinders. The starter gets hotter with every try, and unburnt fuel gathers.`,
        doThis:
          'Stop cranking and let the starter cool. Look at its fuel, its stop switch and its faults first. Before any further try do as its maker’s manual says about the sea water inlet and about draining the exhaust, and mind to open the inlet again as soon as it runs; the manual also says how often and how long it may be cranked.',
        cautions: [
          CAUTIONS.rotating,
          CAUTIONS.generator,
          ...(hasPetrol
            ? ['Fuel vapour explodes: air the engine space before anything makes a spark.']
            : []),
        ],
        evidence: [
          {
            what: 'Tries without a start',
            value: tries.length,
            threshold: boat.limits.crankTries,
            unit: '',
          },
        ],
        confidence: 'inferred',
        points: pointsOf(boat, battery.id, ...generators.map(({ id }) => id)),
      };
    },
  };
}

export const generatorNotStarting = remembering<Memory>({
  name: RULE,
  fresh: () => ({}),
  isSound: (saved): saved is Memory => memorySchema.safeParse(saved).success,
  checks: (context, memory) =>
    startBanks(context).map((bank) =>
      check(
        context,
        bank,
        (memory[bank.battery.id] ??= { levelVolts: null, dipSinceMs: null, tries: [] }),
      ),
    ),
});
