/**
 * Shore power that is gone though no AC sensor of the inlet says so: it died with the mains, or
 * hangs and goes on saying its last value. The DC side can tell, or what hung on the inlet and reads
 * no voltage any more; either way it is inferred.
 */
import type { Point, PointId } from '../boat/boat.ts';
import { byId } from '../panel/lookup.ts';
import type { Banks } from './dc-witness.ts';
import { witnessOf } from './dc-witness.ts';
import type { Witness } from './dc-witness.ts';
import { flatSinceMs } from './flat-lines.ts';
import type { FlatLines } from './flat-lines.ts';
import type { RuleContext } from './rule.ts';
import type { Inlet } from './shore-inlets.ts';
import { lastFed, pointFor, pointState } from './shore-inlets.ts';

export interface Inference {
  /**
   * `silent`: AC sensors fell silent. `frozen`: they stand still. `hidden`: the inlet's hang and all
   * that it fed reads dead. `on`: DC shows that AC is there.
   */
  finds: 'silent' | 'frozen' | 'hidden' | 'on' | 'nothing';
  /** Since when shore power is gone by it; null unless it is. */
  sinceMs: number | null;
  banks: readonly string[];
}

const NOTHING: Inference = { finds: 'nothing', sinceMs: null, banks: [] };

/** A bank turns some seconds after the mains died, or is heard some seconds before their sensor. */
const EARLIEST_MS = 15_000;
const LATEST_MS = 60_000;

const inletVoltsPoints = ({ boat }: RuleContext, { inlet }: Inlet): Point[] =>
  inlet.legs.flatMap((leg) => pointFor(boat, inlet.id, 'volts', leg) ?? []);

/** Points of AC volts at the inlet and at the buses that it fed last. */
export function acVoltsPoints(context: RuleContext, { inlet }: Inlet): Point[] {
  const { boat } = context;
  const parts = [inlet.id, ...lastFed(context, inlet.id)];
  return parts.flatMap((id) => inlet.legs.flatMap((leg) => pointFor(boat, id, 'volts', leg) ?? []));
}

/**
 * When the last of the points was heard, if all are silent and one of them has been heard live.
 * `before` is what was found the last time: a restart forgets how old a reading is, this does not.
 */
function silentSinceMs(
  { panel, nowMs }: RuleContext,
  points: readonly Point[],
  before: number | null,
): number | null {
  const states = points.map((point) => pointState(panel, point.id));
  if (states.some((own) => own === undefined || own.freshness === 'fresh')) return null;
  const ages = states.flatMap((own) =>
    own?.freshness === 'stale' && own.ageMs !== null ? [own.ageMs] : [],
  );
  return before ?? (ages.length === 0 ? null : nowMs - Math.min(...ages));
}

/** Since when every fresh one of the points stands still; null where one moves or none is fresh. */
function allFlatSinceMs(
  { boat, panel }: RuleContext,
  lines: FlatLines,
  points: readonly PointId[],
): number | null {
  const fresh = points.filter((id) => pointState(panel, id)?.freshness === 'fresh');
  const since = fresh.map((id) => flatSinceMs(boat, lines, id));
  return since.length === 0 || since.includes(null)
    ? null
    : Math.max(...since.map((own) => own ?? 0));
}

/**
 * Since when the inlet's sensors stand still, and those of its buses with them. A bus that reads dead
 * does not speak for the inlet: a live sensor there shows that the frozen one is not to be believed.
 */
function stillSinceMs(context: RuleContext, inlet: Inlet, lines: FlatLines): number | null {
  const { panel } = context;
  const buses = lastFed(context, inlet.inlet.id);
  const areDead =
    buses.length > 0 &&
    buses.every((id) => byId(panel.buses, id)?.legs.every((leg) => leg.live === 'dead'));
  const points = areDead ? inletVoltsPoints(context, inlet) : acVoltsPoints(context, inlet);
  return allFlatSinceMs(
    context,
    lines,
    points.map((own) => own.id),
  );
}

/** A charger's own fresh and moving current says that AC is there. */
function isChargerAlive(context: RuleContext, lines: FlatLines, witness: Witness): boolean {
  const { boat, panel } = context;
  return boat.circuits.some((circuit) => {
    if (circuit.charges === undefined || !witness.banks.includes(circuit.charges)) return false;
    const point = circuit.legs.flatMap((leg) => pointFor(boat, circuit.id, 'amps', leg) ?? [])[0];
    const state = point && pointState(panel, point.id);
    if (!point || state?.freshness !== 'fresh' || typeof state.value !== 'number') return false;
    return Math.abs(state.value) > circuit.drawingAmps && !flatSinceMs(boat, lines, point.id);
  });
}

/**
 * Since when every bus that the inlet fed reads dead while its own sensors hang: so far above the
 * limit of live, only a sensor that hangs leaves it unknown whether a leg is.
 */
function deadBehindMs(
  { boat, panel, past, nowMs }: RuleContext,
  { inlet, state }: Inlet,
  before: number | null,
): number | null {
  const fed = panel.buses.filter(({ id }) => past.feeds[id]?.by === inlet.id);
  const areDead = fed.every(({ legs }) => legs.every(({ live }) => live === 'dead'));
  const liveVolts = boat.limits.liveRatio * (boat.ac?.volts ?? Infinity);
  const hangs = state.legs.every(
    ({ live, volts }) => live === 'unknown' && (volts.value ?? 0) >= liveVolts,
  );
  return fed.length > 0 && areDead && hangs ? (before ?? nowMs) : null;
}

/** Since when the AC sensors are silent, or hang before dead buses; kept between evaluations. */
export interface Silence {
  silentSinceMs: number | null;
  deadBehindMs?: number | null | undefined;
}

/** What DC and the silence or stillness of AC sensors say of one inlet. */
export function infer(
  context: RuleContext,
  inlet: Inlet,
  { banks, lines, silence }: { banks: Banks; lines: FlatLines; silence: Silence },
): Inference {
  const { boat, nowMs } = context;
  const points = acVoltsPoints(context, inlet);
  const silentMs = silentSinceMs(context, points, silence.silentSinceMs);
  silence.silentSinceMs = silentMs;
  const deadMs = deadBehindMs(context, inlet, silence.deadBehindMs ?? null);
  silence.deadBehindMs = deadMs;
  const lateMs = boat.limits.shoreInferredLateSeconds * 1000;
  // Another source may carry the bank, so this comes before what the bank says.
  if (deadMs !== null && nowMs - deadMs >= lateMs) {
    return { finds: 'hidden', sinceMs: deadMs, banks: [] };
  }
  const witness = witnessOf(context, banks, lastFed(context, inlet.inlet.id));
  if (witness.says === 'on') return { ...NOTHING, finds: 'on' };
  const { turnedAtMs } = witness;
  if (turnedAtMs === null || isChargerAlive(context, lines, witness)) return NOTHING;
  const goneMs = nowMs - turnedAtMs;
  const soonMs = boat.limits.shoreInferredSeconds * 1000;
  if (silentMs !== null) {
    const apartMs = turnedAtMs - silentMs;
    const isTogether = apartMs >= -EARLIEST_MS && apartMs <= LATEST_MS;
    const isGone = isTogether ? goneMs >= soonMs : witness.hasFallen && goneMs >= lateMs;
    if (!isGone) return NOTHING;
    const sinceMs = isTogether ? Math.min(silentMs, turnedAtMs) : turnedAtMs;
    return { finds: 'silent', sinceMs, banks: witness.banks };
  }
  const flatMs = stillSinceMs(context, inlet, lines);
  if (flatMs === null || flatMs > turnedAtMs + EARLIEST_MS || goneMs < lateMs) return NOTHING;
  return { finds: 'frozen', sinceMs: turnedAtMs, banks: witness.banks };
}
