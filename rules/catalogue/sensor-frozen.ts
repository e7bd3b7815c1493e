/**
 * A sensor hangs and goes on sending its last value, which looks exactly like health. A live AC
 * reading is never still to the last digit for long; how long is learned for each point, since a
 * meter that prints whole volts may stand still for minutes.
 */
import * as z from 'zod';
import type { Check, Verdict } from '../alerts/check.ts';
import type { Boat, Point, PointId } from '../boat/boat.ts';
import type { PanelState, PointState } from '../panel/panel-state.ts';
import { inWords } from '../panel/reasons.ts';
import { remembering } from './catalogue-rule.ts';
import { graveIn, publishers } from './publishers.ts';
import type { Publisher } from './publishers.ts';
import { lengthWords } from './pump-words.ts';
import { CAUTIONS, label, staleAfterMs } from './rule.ts';
import type { RuleContext } from './rule.ts';

const RULE = 'sensor-frozen';

const lineSchema = z.object({
  value: z.number(),
  /** First and newest reading of this value. */
  sinceMs: z.number(),
  lastMs: z.number(),
  /** How often it has changed while live. */
  changes: z.number(),
  /** Longest that it stayed the same while it was well. */
  longestMs: z.number(),
});
const linesSchema = z.record(z.string(), lineSchema);

type Line = z.infer<typeof lineSchema>;
type Lines = z.infer<typeof linesSchema>;

/** What was long once is forgotten by a tenth a day: loads and meters change. */
const FORGOTTEN_PER_DAY = 0.1;
const DAY_MS = 86_400_000;

/** A point that can freeze, and the magnitude above which it is live. */
interface Watched {
  point: Point;
  floor: number;
}

const watchedOf = new WeakMap<Boat, Map<PointId, Watched>>();

/** AC volts, amps, watts and hertz; found once for each boat. */
function watched(boat: Boat): Map<PointId, Watched> {
  let own = watchedOf.get(boat);
  if (!own) {
    own = new Map();
    for (const point of boat.points.values()) {
      const floor = floorOf(boat, point);
      if (floor !== null) own.set(point.id, { point, floor });
    }
    watchedOf.set(boat, own);
  }
  return own;
}

function floorOf(boat: Boat, { of, quantity }: Point): number | null {
  const part = boat.parts.get(of);
  if (part?.system !== 'ac' || boat.ac === null) return null;
  const amps = part.part === 'circuit' ? part.drawingAmps : boat.limits.drawingAmps;
  const floors: Partial<Record<Point['quantity'], number>> = {
    volts: boat.limits.liveRatio * boat.ac.volts,
    amps,
    watts: amps * boat.ac.volts,
    hertz: boat.ac.hertz / 2,
  };
  return floors[quantity] ?? null;
}

/** How long it must stay the same to count as frozen; null while its noise is not known yet. */
function frozenAfterMs(boat: Boat, point: Point, line: Line): number | null {
  const { sensorFrozenChanges, sensorFrozenIntervals, sensorFrozenRatio } = boat.limits;
  if (line.changes < sensorFrozenChanges) return null;
  return Math.max(
    sensorFrozenIntervals * point.expectedEveryMs,
    sensorFrozenRatio * line.longestMs,
  );
}

function isFrozen(boat: Boat, point: Point, line: Line | undefined): boolean {
  if (line === undefined) return false;
  const afterMs = frozenAfterMs(boat, point, line);
  return afterMs !== null && line.lastMs - line.sinceMs > afterMs;
}

/** Takes in the newest readings. What is silent or not live begins anew. */
function note(lines: Lines, boat: Boat, panel: PanelState): void {
  const all = watched(boat);
  for (const state of panel.points) {
    const own = all.get(state.id);
    if (!own) continue;
    const { point, floor } = own;
    const { value } = state;
    const line = lines[state.id];
    if (state.freshness !== 'fresh' || state.ageMs === null || typeof value !== 'number') continue;
    const atMs = panel.atMs - state.ageMs;
    if (!line) lines[state.id] = begin(value, atMs);
    else if (atMs > line.lastMs) takeValue(line, boat, point, value, atMs, Math.abs(value) > floor);
  }
}

const begin = (value: number, atMs: number): Line => ({
  value,
  sinceMs: atMs,
  lastMs: atMs,
  changes: 0,
  longestMs: 0,
});

function takeValue(
  line: Line,
  boat: Boat,
  point: Point,
  value: number,
  atMs: number,
  isLive: boolean,
): void {
  const isGap = atMs - line.lastMs > staleAfterMs(boat, point);
  const wasFrozen = isFrozen(boat, point, line);
  const stoodMs = line.lastMs - line.sinceMs;
  const days = Math.floor(atMs / DAY_MS) - Math.floor(line.lastMs / DAY_MS);
  if (days > 0) line.longestMs *= (1 - FORGOTTEN_PER_DAY) ** days;
  line.lastMs = atMs;
  if (isLive && value === line.value && !isGap) return;
  if (isLive && !isGap) {
    line.changes += 1;
    // A stretch that was told as frozen may have been health after all, but not all of it counts.
    const countedMs = wasFrozen ? Math.min(stoodMs, 2 * line.longestMs) : stoodMs;
    line.longestMs = Math.max(line.longestMs, countedMs);
  }
  line.value = value;
  line.sinceMs = atMs;
}

function check(context: RuleContext, lines: Lines, publisher: Publisher): Check {
  const { boat, panel } = context;
  const { first, address } = publisher;
  const frozen = publisher.points.filter((point) => isFrozen(boat, point, lines[point.id]));
  const states = new Map<PointId, PointState>();
  if (frozen.length > 0) for (const own of panel.points) states.set(own.id, own);
  const isHeard = frozen.some((point) => states.get(point.id)?.freshness === 'fresh');
  const verdict: Verdict = frozen.length === 0 ? 'clear' : isHeard ? 'raise' : 'unknown';
  return {
    rule: RULE,
    key: `${RULE}.from-${first.id}`,
    levels: [
      {
        priority: 'warning',
        verdict,
        onDelayMs: boat.limits.sensorBlindMinutes * 60_000,
        modes: graveIn(boat, publisher.points),
      },
      { priority: 'caution', verdict, onDelayMs: 0 },
    ],
    offDelayMs: boat.limits.sensorSilentSeconds * 1000,
    describe(priority) {
      const [worst] = frozen;
      const line = worst && lines[worst.id];
      const stoodMs = line === undefined ? 0 : line.lastMs - line.sinceMs;
      const parts = [...new Set(frozen.map((point) => label(boat, point.of)))];
      const shown = parts.length > 3 ? [...parts.slice(0, 2), `${parts.length - 2} more`] : parts;
      return {
        rule: RULE,
        subject: { part: first.of, point: worst?.id ?? first.id },
        priority,
        title: `The sensor on ${address} has said the same for ${lengthWords(stoodMs)}, to the last digit`,
        means: `A live AC supply is never that still, and this sensor was not before. It probably hangs and repeats its last value, so what it says of ${inWords(shown)} may be long over.`,
        doThis:
          'Switch the sensor off and on again, and compare it with a meter of your own. Until then believe neither its readings nor what follows from them.',
        cautions: [CAUTIONS.neverProvesDead],
        evidence: frozen.slice(0, 4).map((point) => {
          const own = lines[point.id];
          const afterMs = own === undefined ? null : frozenAfterMs(boat, point, own);
          return {
            what: `Without any change: ${point.id}`,
            value: own === undefined ? null : Math.round((own.lastMs - own.sinceMs) / 1000),
            threshold: afterMs === null ? null : Math.round(afterMs / 1000),
            unit: 's',
          };
        }),
        confidence: 'inferred',
        points: frozen.map((point) => point.id),
      };
    },
  };
}

export const sensorFrozen = remembering<Lines>({
  name: RULE,
  fresh: () => ({}),
  isSound: (saved): saved is Lines => linesSchema.safeParse(saved).success,
  checks(context, lines): Check[] {
    const { boat, panel } = context;
    note(lines, boat, panel);
    const all = watched(boat);
    return publishers(boat)
      .filter(({ points }) => points.some((point) => all.has(point.id)))
      .map((publisher) => check(context, lines, publisher));
  },
});
