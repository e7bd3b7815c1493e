/**
 * A sensor has gone silent: what it measured is unknown, not zero. Points that share a publisher
 * are told together; everything silent at once is told once. Who cannot see the shore inlet or the
 * bilge, or has left the boat, is told more urgently after an hour.
 */
import { MODES } from '../alerts/alert.ts';
import type { Check, Verdict } from '../alerts/check.ts';
import type { Boat, Point } from '../boat/boat.ts';
import type { PointState } from '../panel/panel-state.ts';
import { inWords } from '../panel/reasons.ts';
import { NOT_AT_WORK } from './modes.ts';
import { graveIn, publishers } from './publishers.ts';
import { CAUTIONS, label, staleAfterMs } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';
import { keyOf } from './rule-names.ts';

const RULE = 'sensor-silent';

const isSilent = (state: PointState | undefined): boolean =>
  state !== undefined && state.freshness !== 'fresh';

/** What is silent, and the words for it. */
interface Silent {
  key: string;
  verdict: Verdict;
  points: readonly Point[];
  /** Keys of what follows from this silence. */
  explains: readonly string[];
  title: string;
  titleNever: string;
  /** Every sensor there is. */
  isAll: boolean;
}

function check({ boat, panel }: RuleContext, silent: Silent): Check {
  const { points, verdict, isAll } = silent;
  const { allSilentSeconds, sensorSilentSeconds } = boat.limits;
  const [first] = points;
  return {
    rule: RULE,
    key: `${RULE}.${silent.key}`,
    levels: [
      {
        priority: 'warning',
        verdict,
        onDelayMs: boat.limits.sensorBlindMinutes * 60_000,
        modes: isAll ? MODES : graveIn(boat, points),
      },
      {
        priority: 'caution',
        verdict,
        onDelayMs: (isAll ? allSilentSeconds : sensorSilentSeconds) * 1000,
        // A sensor dies with the breaker that feeds it; that nothing at all is heard is told always.
        modes: isAll ? MODES : NOT_AT_WORK,
      },
    ],
    offDelayMs: 0,
    ...(silent.explains.length > 0 ? { explains: silent.explains } : {}),
    describe(priority) {
      const states = panel.points.filter((state) => points.some((point) => point.id === state.id));
      const parts = [...new Set(points.map((point) => label(boat, point.of)))];
      const shown = parts.length > 4 ? [...parts.slice(0, 3), `${parts.length - 3} more`] : parts;
      const never = states.every((state) => state.freshness === 'never');
      return {
        rule: RULE,
        subject: { part: first?.of ?? '', ...(first ? { point: first.id } : {}) },
        priority,
        title: never ? silent.titleNever : silent.title,
        means: `What it measures is unknown until it speaks again: ${inWords(shown)}. Alerts that rest on it are held, neither raised nor cleared.`,
        doThis:
          priority === 'warning'
            ? 'See whether the sensor has power and reaches the network, and until then have somebody look at the boat herself: her bilge and her shore power.'
            : 'See whether the sensor has power and reaches the network. Do not take a missing value for zero.',
        cautions: [CAUTIONS.neverProvesDead],
        evidence: states.slice(0, 4).map((state) => {
          const point = boat.points.get(state.id);
          return {
            what: `Age of ${state.id}`,
            value: state.ageMs === null ? null : Math.round(state.ageMs / 1000),
            threshold: point === undefined ? null : Math.round(staleAfterMs(boat, point) / 1000),
            unit: 's',
          };
        }),
        confidence: 'measured',
        points: points.map((point) => point.id),
      };
    },
  };
}

const below = new WeakMap<Boat, string[]>();

/** Keys of everything that follows when no sensor is heard; found once for each boat. */
function keysBelow(boat: Boat): readonly string[] {
  let keys = below.get(boat);
  if (!keys) {
    const groups = publishers(boat).map(({ first }) => keyOf(RULE, `from-${first.id}`));
    const points = publishers(boat)
      .filter((own) => own.points.length > 1)
      .flatMap((own) => own.points.map((point) => keyOf(RULE, point.id)));
    keys = [...groups, ...points];
    below.set(boat, keys);
  }
  return keys;
}

export const sensorSilent: Rule = (context) => {
  const { boat, panel } = context;
  const states = new Map(panel.points.map((state) => [state.id, state]));
  const silent = (point: Point): boolean => isSilent(states.get(point.id));
  const all = [...boat.points.values()];
  const isBlind = all.length > 0 && all.every(silent);
  const checks = [
    check(context, {
      key: 'all',
      verdict: isBlind ? 'raise' : 'clear',
      points: all,
      explains: keysBelow(boat),
      title: 'panelward hears no sensor at all: it is blind',
      titleNever: 'panelward has not heard any sensor yet: it is blind',
      isAll: true,
    }),
  ];
  for (const { first, address, points } of publishers(boat)) {
    const isWhole = points.every(silent);
    // While everything is silent, that is the news; each publisher's own silence waits behind it.
    const group: Verdict = isBlind ? 'hold' : isWhole ? 'raise' : 'clear';
    const what = `The sensor on ${address}`;
    checks.push(check(context, named(`from-${first.id}`, what, group, points)));
    if (points.length === 1) continue;
    for (const point of points) {
      const own: Verdict = isWhole ? 'hold' : silent(point) ? 'raise' : 'clear';
      checks.push(check(context, named(point.id, `Point ${point.id}`, own, [point])));
    }
  }
  return checks;
};

function named(key: string, what: string, verdict: Verdict, points: readonly Point[]): Silent {
  return {
    key,
    verdict,
    points,
    explains: points.length > 1 ? points.map((point) => keyOf(RULE, point.id)) : [],
    title: `${what} is silent`,
    titleNever: `${what} has not been heard yet`,
    isAll: false,
  };
}
