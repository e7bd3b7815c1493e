/**
 * Shore power that fed the boat is gone. Told apart: the whole inlet is dead (dock or cord), one
 * leg of it, or a loss that its own sensors do not show (`shore-inference.ts`). What is dead behind a
 * live inlet is `dead-bus`; a sensor that fell silent is neither: this rule then does not know, and
 * `sensor-silent` says so. The loss is over when the supply is good and the chargers draw.
 */
import * as z from 'zod';
import type { Mode } from '../alerts/alert.ts';
import { MODES } from '../alerts/alert.ts';
import type { Check, Verdict } from '../alerts/check.ts';
import { byId, pointIdsOf } from '../panel/lookup.ts';
import type { LegState } from '../panel/panel-state.ts';
import { remembering } from './catalogue-rule.ts';
import { banksSchema, noteBanks } from './dc-witness.ts';
import { flatLinesSchema, noteLines } from './flat-lines.ts';
import { NOT_UNDER_WAY } from './modes.ts';
import type { RuleContext } from './rule.ts';
import { acVoltsPoints, infer } from './shore-inference.ts';
import type { Inference } from './shore-inference.ts';
import type { Inlet } from './shore-inlets.ts';
import { chargersOn, inletsOf, lastFed, pointState } from './shore-inlets.ts';
import { symptomsOf } from './shore-loss-symptoms.ts';
import { describeLoss } from './shore-loss-words.ts';
import type { Loss } from './shore-loss-words.ts';

const RULE = 'shore-power-lost';

const inletSchema = z.object({
  /** When it died, by measurement or inference; null while it is not gone. */
  goneSinceMs: z.number().nullable(),
  /** Since when its AC sensors are silent. */
  silentSinceMs: z.number().nullable(),
  /** Since when its sensors hang before dead buses; absent in what an older version saved. */
  deadBehindMs: z.number().nullish(),
  /** When voltage came back last. */
  backAtMs: z.number().nullable(),
  /** Losses within a minute of coming back, while this loss stands. */
  trips: z.number(),
  /** Points that fell silent together with it and are silent yet. */
  died: z.array(z.string()),
  /** Since when every leg is in band. */
  inBandSinceMs: z.number().nullable(),
  /** How long it has fed the boat since the standing mode began, and when that was. */
  fed: z.object({ modeSinceMs: z.number().nullable(), ms: z.number() }),
});

const memorySchema = z.object({
  inlets: z.record(z.string(), inletSchema),
  banks: banksSchema,
  lines: flatLinesSchema,
});

type Memory = z.infer<typeof memorySchema>;
type InletMemory = z.infer<typeof inletSchema>;

/** Whether a live leg is within the band of a good supply; null where its volts are not known. */
function isInBand({ boat }: RuleContext, leg: LegState): boolean | null {
  const nominal = boat.ac?.volts;
  if (leg.volts.value === null || nominal === undefined) return null;
  const ratio = leg.volts.value / nominal;
  return ratio >= boat.limits.inBandLowRatio && ratio <= boat.limits.inBandHighRatio;
}

/** A measured charger draws, or its bank needs nothing; true where no charger is measured. */
function haveChargersBack(context: RuleContext, { inlet }: Inlet, memory: InletMemory): boolean {
  const { boat, panel, nowMs } = context;
  const measured = chargersOn(boat, lastFed(context, inlet.id)).flatMap((circuit) => {
    const state = byId(panel.circuits, circuit.id);
    return state === undefined || state.amps.value === null ? [] : [{ circuit, state }];
  });
  if (measured.length === 0) return true;
  const inBandMs = memory.inBandSinceMs === null ? 0 : nowMs - memory.inBandSinceMs;
  if (inBandMs >= boat.limits.shoreBackChargerMinutes * 60_000) return true;
  return measured.every(({ circuit, state }) => {
    const amps = panel.batteries.find((own) => own.id === circuit.charges)?.amps.value ?? null;
    const isCarried = amps !== null && amps >= -boat.limits.bankDischargeAmps;
    return state.activity === 'drawing' || isCarried;
  });
}

/** What fed any AC bus is not known: what was remembered of it is lost. */
const isFeedForgotten = ({ boat, past }: RuleContext): boolean =>
  boat.buses.every((bus) => bus.system === 'dc' || past.feeds[bus.id] === undefined);

interface Judged {
  verdict: Verdict;
  loss: Loss;
}

function judge(context: RuleContext, own: Inlet, memory: InletMemory, found: Inference): Judged {
  const { state, inlet } = own;
  const clear: Judged = { verdict: 'clear', loss: 'dead' };
  const isStanding = context.standing.has(`${RULE}.${inlet.id}`);
  const isFed = lastFed(context, inlet.id).length > 0;
  if (!isFed && !(isStanding && isFeedForgotten(context))) return clear;
  if (found.finds !== 'on' && found.finds !== 'nothing') {
    return { verdict: 'raise', loss: found.finds };
  }
  if (state.legs.some((leg) => leg.live === 'dead')) return { verdict: 'raise', loss: 'dead' };
  const bands = state.legs.map((leg) => isInBand(context, leg));
  if (bands.every((band) => band === true)) {
    const isOver = !isStanding || haveChargersBack(context, own, memory);
    return isOver ? clear : { ...clear, verdict: 'hold' };
  }
  // With the AC sensors still silent, a bank that charges says that AC is back.
  if (bands.includes(null)) {
    return { ...clear, verdict: found.finds === 'on' && isStanding ? 'clear' : 'unknown' };
  }
  return isStanding ? { verdict: 'raise', loss: 'back but bad' } : { ...clear, verdict: 'hold' };
}

/** Keeps track of when the inlet died and came back. */
function note(context: RuleContext, own: Inlet, memory: InletMemory, found: Inference): void {
  const { boat, nowMs } = context;
  const { legs } = own.state;
  const isGone = found.sinceMs !== null || legs.some((leg) => leg.live === 'dead');
  const isLive = !isGone && legs.every((leg) => leg.live === 'live');
  if (isGone && memory.goneSinceMs === null) {
    memory.goneSinceMs = found.sinceMs ?? nowMs;
    const againMs = boat.limits.shoreTrippedOnReturnSeconds * 1000;
    const isAgain = memory.backAtMs !== null && memory.goneSinceMs - memory.backAtMs <= againMs;
    const isStanding = context.standing.has(`${RULE}.${own.inlet.id}`);
    memory.trips = isStanding ? memory.trips + (isAgain ? 1 : 0) : 0;
  }
  if (isLive && memory.goneSinceMs !== null) {
    memory.goneSinceMs = null;
    memory.backAtMs = nowMs;
  }
  const isGood = isLive && legs.every((leg) => isInBand(context, leg) === true);
  if (!isGood) memory.inBandSinceMs = null;
  else memory.inBandSinceMs ??= nowMs;
}

/** Counts how long the inlet feeds the boat in the mode that stands. */
function noteFed(context: RuleContext, { inlet, state }: Inlet, { fed }: InletMemory): void {
  const { panel, passedMs } = context;
  if (fed.modeSinceMs !== panel.mode.sinceMs) {
    fed.modeSinceMs = panel.mode.sinceMs;
    fed.ms = 0;
  }
  const isLive = state.legs.some((leg) => leg.live === 'live');
  if (isLive && lastFed(context, inlet.id).length > 0) fed.ms += passedMs;
}

/**
 * Under way a cord that was let go is no loss. Where the inlet went on feeding the boat, somebody
 * has forgotten to say that she lies at a dock again.
 */
function modesOf({ boat }: RuleContext, { fed }: InletMemory): readonly Mode[] {
  return fed.ms > boat.limits.underWayShoreMinutes * 60_000 ? MODES : NOT_UNDER_WAY;
}

/** Sensors whose last word falls together with the loss died with the mains. */
const DIED_BEFORE_MS = 15_000;
const DIED_AFTER_MS = 20_000;

/** Remembered, since a restart forgets when a silent sensor was heard last. */
function noteDied({ panel, nowMs }: RuleContext, memory: InletMemory): void {
  const { goneSinceMs } = memory;
  memory.died = panel.points.flatMap(({ id, freshness, ageMs }) => {
    if (freshness === 'fresh') return [];
    if (memory.died.includes(id)) return [id];
    if (goneSinceMs === null || freshness !== 'stale' || ageMs === null) return [];
    const lateMs = nowMs - ageMs - goneSinceMs;
    return lateMs >= -DIED_BEFORE_MS && lateMs <= DIED_AFTER_MS ? [id] : [];
  });
}

/** What the loss explains, while it stands or is about to. */
function symptoms(
  context: RuleContext,
  own: Inlet,
  { died, goneSinceMs }: InletMemory,
  loss: Loss,
): string[] {
  const isGone = goneSinceMs !== null;
  const frozen = loss === 'frozen' || loss === 'hidden' ? acVoltsPoints(context, own) : [];
  return symptomsOf(context, own, { isGone, died, frozen });
}

function check(context: RuleContext, own: Inlet, memory: Memory): Check {
  const { limits } = context.boat;
  const { id } = own.inlet;
  const inlet = (memory.inlets[id] ??= {
    goneSinceMs: null,
    silentSinceMs: null,
    backAtMs: null,
    trips: 0,
    died: [],
    inBandSinceMs: null,
    fed: { modeSinceMs: context.panel.mode.sinceMs, ms: 0 },
  });
  const found = infer(context, own, { ...memory, silence: inlet });
  note(context, own, inlet, found);
  noteFed(context, own, inlet);
  const { verdict, loss } = judge(context, own, inlet, found);
  noteDied(context, inlet);
  const isCause = verdict === 'raise' || context.standing.has(`${RULE}.${id}`);
  return {
    rule: RULE,
    key: `${RULE}.${id}`,
    modes: modesOf(context, inlet),
    levels: [{ priority: 'alarm', verdict, onDelayMs: limits.shoreLostSeconds * 1000 }],
    offDelayMs: limits.shoreBackSeconds * 1000,
    explains: isCause ? symptoms(context, own, inlet, loss) : [],
    describe: () =>
      describeLoss(context, own, loss, { trips: inlet.trips, sinceMs: inlet.goneSinceMs }),
  };
}

/** Points that must be seen to move: AC volts of the inlet, and the current of its chargers. */
function watchedPoints(context: RuleContext, own: Inlet): string[] {
  const { boat, panel } = context;
  const amps = chargersOn(boat, lastFed(context, own.inlet.id))
    .flatMap((circuit) => pointIdsOf(boat, circuit.id))
    .flatMap((id) => boat.points.get(id) ?? [])
    .filter((point) => point.quantity === 'amps');
  return [...acVoltsPoints(context, own), ...amps]
    .map((point) => point.id)
    .filter((id) => pointState(panel, id) !== undefined);
}

export const shorePowerLost = remembering<Memory>({
  name: RULE,
  fresh: () => ({ inlets: {}, banks: {}, lines: {} }),
  isSound: (saved): saved is Memory => memorySchema.safeParse(saved).success,
  checks(context, memory) {
    const inlets = inletsOf(context);
    if (inlets.length === 0) return [];
    noteBanks(memory.banks, context);
    for (const own of inlets) {
      const points = watchedPoints(context, own);
      noteLines(memory.lines, context.panel, points, context.nowMs);
    }
    return inlets.map((own) => check(context, own, memory));
  },
});
