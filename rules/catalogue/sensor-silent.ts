/**
 * A sensor has gone silent: what it measured is unknown, not zero. Points that share a publisher
 * are told together; everything silent at once is told once.
 */
import type { Check, Verdict } from '../alerts/check.ts';
import type { Boat, Point } from '../boat/boat.ts';
import type { PointState } from '../panel/panel-state.ts';
import { inWords } from '../panel/reasons.ts';
import { CAUTIONS, label } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';

const RULE = 'sensor-silent';

interface Publisher {
  /** First of its points names it in keys: topics may hold characters that ids may not. */
  first: Point;
  /** What a person looks for: the topic, or the paths' common part. */
  address: string;
  points: Point[];
}

const known = new WeakMap<Boat, Publisher[]>();

/** Points by what publishes them; found once for each boat. */
function publishers(boat: Boat): Publisher[] {
  let own = known.get(boat);
  if (!own) known.set(boat, (own = findPublishers(boat)));
  return own;
}

/** An MQTT topic, or one part's open marine data paths. */
function findPublishers(boat: Boat): Publisher[] {
  const found = new Map<string, Publisher>();
  for (const point of boat.points.values()) {
    const { address } = point;
    const key = address.via === 'mqtt' ? `mqtt ${address.topic}` : `marine ${point.of}`;
    const own = found.get(key);
    if (own) own.points.push(point);
    else {
      const words =
        address.via === 'mqtt'
          ? `MQTT topic ${address.topic}`
          : `open marine data of ${label(boat, point.of)}`;
      found.set(key, { first: point, address: words, points: [point] });
    }
  }
  return [...found.values()];
}

const isSilent = (state: PointState | undefined): boolean =>
  state !== undefined && state.freshness !== 'fresh';

function check(
  { boat, panel }: RuleContext,
  key: string,
  verdict: Verdict,
  what: string,
  points: readonly Point[],
): Check {
  const [first] = points;
  return {
    rule: RULE,
    key: `${RULE}.${key}`,
    levels: [{ priority: 'caution', verdict, onDelayMs: boat.limits.sensorSilentSeconds * 1000 }],
    offDelayMs: 0,
    describe() {
      const states = panel.points.filter((state) => points.some((point) => point.id === state.id));
      const parts = [...new Set(points.map((point) => label(boat, point.of)))];
      const shown = parts.length > 4 ? [...parts.slice(0, 3), `${parts.length - 3} more`] : parts;
      const never = states.every((state) => state.freshness === 'never');
      return {
        rule: RULE,
        subject: { part: first?.of ?? '', ...(first ? { point: first.id } : {}) },
        priority: 'caution',
        title: never ? `${what} has not been heard yet` : `${what} is silent`,
        means: `What it measures is unknown until it speaks again: ${inWords(shown)}. Alerts that rest on it are held, neither raised nor cleared.`,
        doThis:
          'See whether the sensor has power and reaches the network. Do not take a missing value for zero.',
        cautions: [CAUTIONS.neverProvesDead],
        evidence: states.slice(0, 4).map((state) => ({
          what: `Age of ${state.id}`,
          value: state.ageMs === null ? null : Math.round(state.ageMs / 1000),
          threshold: Math.round(
            Math.max(
              boat.limits.staleIntervals * (state.expectedEveryMs / 1000),
              boat.limits.staleSeconds,
            ),
          ),
          unit: 's',
        })),
        confidence: 'measured',
        points: points.map((point) => point.id),
      };
    },
  };
}

export const sensorSilent: Rule = (context) => {
  const { boat, panel } = context;
  const states = new Map(panel.points.map((state) => [state.id, state]));
  const silent = (point: Point): boolean => isSilent(states.get(point.id));
  const all = [...boat.points.values()];
  const isBlind = all.length > 0 && all.every(silent);
  const checks = [check(context, 'all', isBlind ? 'raise' : 'clear', 'Every sensor', all)];
  for (const { first, address, points } of publishers(boat)) {
    const isWhole = points.every(silent);
    // While everything is silent, that is the news; each publisher's own silence waits behind it.
    const group: Verdict = isBlind ? 'hold' : isWhole ? 'raise' : 'clear';
    checks.push(check(context, `from-${first.id}`, group, `The sensor on ${address}`, points));
    if (points.length === 1) continue;
    for (const point of points) {
      const own: Verdict = isWhole ? 'hold' : silent(point) ? 'raise' : 'clear';
      checks.push(check(context, point.id, own, `Point ${point.id}`, [point]));
    }
  }
  return checks;
};
