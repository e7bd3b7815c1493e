/**
 * A sensor leaps: single readings far above the one before and the one after, again and again. A
 * motor's start is no leap, for its load runs on; one leap alone may be anything. (What is not a
 * number, or out of the point's range, never comes this far: intake refuses and counts it.)
 */
import * as z from 'zod';
import type { Check } from '../alerts/check.ts';
import type { Boat, Point, PointId } from '../boat/boat.ts';
import type { PanelState } from '../panel/panel-state.ts';
import { remembering } from './catalogue-rule.ts';
import { NOT_AT_WORK } from './modes.ts';
import { publishers } from './publishers.ts';
import type { Publisher } from './publishers.ts';
import { times } from './pump-words.ts';
import { CAUTIONS, label } from './rule.ts';
import type { RuleContext } from './rule.ts';

const RULE = 'sensor-leaping';

const traceSchema = z.object({
  /** Newest reading, and the magnitudes of it and of the one before; null where there is none. */
  atMs: z.number(),
  last: z.number(),
  before: z.number().nullable(),
  /** When it leapt, oldest first. */
  leapsMs: z.array(z.number()),
  /** Magnitude of the newest leap. */
  leapt: z.number(),
});
const tracesSchema = z.record(z.string(), traceSchema);

type Trace = z.infer<typeof traceSchema>;
type Traces = z.infer<typeof tracesSchema>;

/** Below this a reading is as good as nothing, as a share of nominal volts. */
const NOTHING_RATIO = 0.05;
const LEAPS_KEPT = 100;

const floorsOf = new WeakMap<Boat, Map<PointId, number>>();

/** Magnitudes that count as nothing, by point; found once for each boat. */
function floors(boat: Boat): Map<PointId, number> {
  let own = floorsOf.get(boat);
  if (!own) {
    own = new Map();
    for (const point of boat.points.values()) {
      const floor = floorOf(boat, point);
      if (floor !== null) own.set(point.id, floor);
    }
    floorsOf.set(boat, own);
  }
  return own;
}

function floorOf(boat: Boat, { of, quantity }: Point): number | null {
  const part = boat.parts.get(of);
  const nominal = (part?.system === 'ac' ? boat.ac : boat.dc)?.volts;
  if (part === undefined || nominal === undefined) return null;
  const amps = part.part === 'circuit' ? part.drawingAmps : boat.limits.drawingAmps;
  if (quantity === 'amps') return amps;
  if (quantity === 'watts') return amps * nominal;
  return quantity === 'volts' ? NOTHING_RATIO * nominal : null;
}

function note(traces: Traces, boat: Boat, panel: PanelState): void {
  const all = floors(boat);
  for (const state of panel.points) {
    const floor = all.get(state.id);
    if (floor === undefined || state.ageMs === null || typeof state.value !== 'number') continue;
    if (state.freshness !== 'fresh') continue;
    const atMs = panel.atMs - state.ageMs;
    const trace = traces[state.id];
    const magnitude = Math.abs(state.value);
    if (!trace) {
      traces[state.id] = { atMs, last: magnitude, before: null, leapsMs: [], leapt: 0 };
    } else if (atMs > trace.atMs) {
      takeValue(trace, magnitude, atMs, boat.limits.sensorLeapRatio, floor);
    }
  }
}

function takeValue(
  trace: Trace,
  magnitude: number,
  atMs: number,
  ratio: number,
  floor: number,
): void {
  const { before, last } = trace;
  if (before !== null && last > ratio * Math.max(before, magnitude, floor)) {
    trace.leapsMs = [...trace.leapsMs, trace.atMs].slice(-LEAPS_KEPT);
    trace.leapt = last;
  }
  trace.before = last;
  trace.last = magnitude;
  trace.atMs = atMs;
}

function check({ boat, nowMs }: RuleContext, traces: Traces, publisher: Publisher): Check {
  const { sensorLeaps, sensorLeapMinutes } = boat.limits;
  const { first, address } = publisher;
  const sinceMs = nowMs - sensorLeapMinutes * 60_000;
  const leapsOf = (point: Point): number =>
    (traces[point.id]?.leapsMs ?? []).filter((atMs) => atMs > sinceMs).length;
  const leaping = publisher.points.filter(
    // Hardly any point has ever leapt, and this runs once a second.
    (point) => (traces[point.id]?.leapsMs.length ?? 0) > 0 && leapsOf(point) >= sensorLeaps,
  );
  return {
    rule: RULE,
    key: `${RULE}.from-${first.id}`,
    // Clamps that are moved leap.
    modes: NOT_AT_WORK,
    levels: [
      { priority: 'caution', verdict: leaping.length > 0 ? 'raise' : 'clear', onDelayMs: 0 },
    ],
    offDelayMs: sensorLeapMinutes * 60_000,
    describe() {
      const point = leaping[0] ?? first;
      const trace = traces[point.id];
      return {
        rule: RULE,
        subject: { part: point.of, point: point.id },
        priority: 'caution',
        title: `Point ${point.id} has leapt ${times(leapsOf(point))} in ${sensorLeapMinutes} min, for one reading each`,
        means: `The sensor on ${address} sends values that ${label(boat, point.of)} can hardly have: a loose clamp or wire, or radio noise. Alerts may come of it that mean nothing.`,
        doThis:
          'Look at the clamp, its plug and the wire to the sensor. Until then compare what looks odd with a meter of your own.',
        cautions: [CAUTIONS.neverProvesDead, CAUTIONS.electrician],
        evidence: [
          {
            what: 'Newest leap, and the reading that followed it',
            value: trace?.leapt ?? null,
            threshold: trace?.last ?? null,
            unit: unitOf(point),
          },
        ],
        confidence: 'inferred',
        points: leaping.map((own) => own.id),
      };
    },
  };
}

const unitOf = ({ quantity }: Point): string =>
  quantity === 'amps' ? 'A' : quantity === 'volts' ? 'V' : 'W';

export const sensorLeaping = remembering<Traces>({
  name: RULE,
  fresh: () => ({}),
  isSound: (saved): saved is Traces => tracesSchema.safeParse(saved).success,
  checks(context, traces): Check[] {
    const { boat, panel } = context;
    note(traces, boat, panel);
    return publishers(boat).map((publisher) => check(context, traces, publisher));
  },
});
