/**
 * A case: what truly befalls a boat, what must be told of it and how soon, and what must not. Cases
 * are written against what a boat's owner needs, not against what the rules happen to say.
 */
import { createWatch, PRIORITIES } from '../../rules/index.ts';
import type { Boat, Letter, Mode, PanelEvent, Priority } from '../../rules/index.ts';
import { CATALOGUE } from '../../rules/catalogue/index.ts';
import type { RuleContext } from '../../rules/catalogue/rule.ts';
import { emptyPast } from '../../rules/panel/past.ts';
import type { TimedAction } from '../../simulator/action.ts';
import type { Scenario } from '../../simulator/scenarios/scenario.ts';
import type { SensorFaults } from '../../simulator/sensors/sensor-faults.ts';
import { sablePlover } from '../simulator/demo-boats.ts';
import type { Look, Told, WatchStep } from './run-fast.ts';

/** What was told in one run, with the instants that only the truth knows. */
export interface Played {
  told: readonly Told[];
  panelEvents: readonly { atSeconds: number; event: PanelEvent }[];
  /** What the owner got, nobody acknowledging. */
  letters: readonly Letter[];
  /** Seconds after the start, by name; the script's own times are counted from `looseSeconds`. */
  moments: ReadonlyMap<string, number>;
  /** The script of this seed began so much later than written. */
  looseSeconds: number;
}

export interface Outcome {
  isMet: boolean;
  /** From the true event to what was told of it. */
  delaySeconds: number | null;
}

export interface Expectation {
  /** In words, for the table. */
  what: string;
  /** Matches the names of the rules that can tell it; with none in the catalogue it cannot be judged. */
  needs?: RegExp;
  judge: (played: Played) => Outcome;
}

export interface TruthCase {
  id: string;
  title: string;
  /** Default: Sable Plover. */
  boat?: 'sable-plover' | 'willow-dipper';
  changeBoat?: (boat: Boat) => Boat;
  /** What the boat file wrongly says of that boat; the watch believes it. */
  describes?: (boat: Boat) => Boat;
  startsAt: string;
  minutes: number;
  /** Default: nobody touches anything but the script. */
  crew?: Scenario['crew'];
  settleMinutes?: number;
  setUp?: Scenario['setUp'];
  script: readonly TimedAction[];
  /** Every seed's script begins up to so much later; default 60. */
  looseSeconds?: number;
  /** Default: everyday sensors. */
  faults?: SensorFaults;
  /** Default: 1000. */
  evaluateEveryMs?: number;
  /** Makes sensors speak so seldom; default: as in the boat file. */
  sensorsEveryMs?: number;
  /** Default: away where no crew is, else aboard. */
  mode?: Mode;
  /** Done to panelward rather than to the boat; times as in the script. */
  steps?: readonly WatchStep[];
  /** Notes instants that only the truth knows, or anything else for the expectations. */
  look?: (look: Look, moments: Map<string, number>) => void;
  must: readonly Expectation[];
  /** Rules whose alerts belong to it. Every other alert that is raised is a false one. */
  belongs: RegExp;
  /** What panelward does not do yet, in a sentence: the shortened run expects it to fail so long. */
  stillMissed?: string;
  /** Played with fewer seeds: takes long. */
  isLong?: boolean;
}

/** One rule of the catalogue may tell several things, each under a name of its own. */
function namesTold(): string[] {
  const boat = sablePlover;
  const { panel } = createWatch(boat).evaluate(0);
  const context: RuleContext = {
    boat,
    panel,
    past: emptyPast(),
    nowMs: 0,
    passedMs: 0,
    mode: 'aboard',
    standing: new Set(),
  };
  const checks = CATALOGUE.flatMap((rule) => rule.start(boat, undefined).checks(context));
  return [...CATALOGUE.map(({ name }) => name), ...checks.map(({ rule }) => rule)];
}

const RULE_NAMES: ReadonlySet<string> = new Set(namesTold());

export const hasRule = (needs: RegExp | undefined): boolean =>
  needs === undefined || [...RULE_NAMES].some((name) => needs.test(name));

export interface Wanted {
  what: string;
  /** Rules that may tell it. */
  rule: RegExp;
  /** Part or whole key that it must be about. */
  about?: RegExp;
  /** `7:30` after the start by the script, or the name of a moment: when it truly happened. */
  at: string;
  /** Not sooner after it than this; default 0. */
  notBefore?: number;
  /** Seconds. */
  within: number;
  /** This or more urgent. */
  priority?: Priority;
  /** Somewhere in its words. */
  says?: RegExp;
}

/** An alert is raised, or rises to this priority, in time. */
export const raises = (wanted: Wanted): Expectation =>
  tells(wanted, ['raised', 'priority changed']);

/** It is said to be over, in time. */
export const returns = (wanted: Wanted): Expectation => tells(wanted, ['returned']);

function tells(wanted: Wanted, types: readonly Told['type'][]): Expectation {
  const { what, rule, about, at, notBefore = 0, within, priority, says } = wanted;
  const fits = ({ type, key, event: { alert } }: Told): boolean =>
    types.includes(type) &&
    rule.test(alert.rule) &&
    (about === undefined || about.test(key)) &&
    (priority === undefined || isAtLeast(alert.priority, priority)) &&
    (says === undefined || says.test([alert.title, alert.means, alert.doThis].join(' ')));
  return {
    what,
    needs: rule,
    judge: (played) => {
      const trueAt = momentOf(played, at);
      if (trueAt === null) return { isMet: true, delaySeconds: null };
      // Sooner than it truly was is in order only where the case says so.
      const fromAt = trueAt + Math.min(0, notBefore);
      const first = played.told.find((told) => fits(told) && told.atSeconds >= fromAt);
      if (first === undefined) return { isMet: false, delaySeconds: null };
      const delaySeconds = first.atSeconds - trueAt;
      return { isMet: delaySeconds >= notBefore && delaySeconds <= within, delaySeconds };
    },
  };
}

export interface Unwanted {
  what: string;
  rule?: RegExp;
  about?: RegExp;
  types?: readonly Told['type'][];
  /** This or more urgent. */
  priority?: Priority;
  /** So many are in order; default 0. */
  most?: number;
  /** Counts an alert that comes again before anybody has seen it as one. */
  areDistinct?: boolean;
  /** Only after this moment, and before that one. */
  from?: string;
  until?: string;
}

/** No such alert, or no more than `most` of them. */
export function neverRaises(unwanted: Unwanted): Expectation {
  const { what, rule, about, priority, most = 0, from, until, types = ['raised'] } = unwanted;
  const { areDistinct = false } = unwanted;
  return {
    what,
    ...(rule === undefined ? {} : { needs: rule }),
    judge: (played) => {
      const fromAt = from === undefined ? -Infinity : (momentOf(played, from) ?? Infinity);
      const untilAt = until === undefined ? Infinity : (momentOf(played, until) ?? Infinity);
      const found = played.told.filter(
        ({ type, key, atSeconds, event: { alert } }) =>
          types.includes(type) &&
          (rule?.test(alert.rule) ?? true) &&
          (about?.test(key) ?? true) &&
          (priority === undefined || isAtLeast(alert.priority, priority)) &&
          atSeconds >= fromAt &&
          atSeconds < untilAt,
      );
      const times = areDistinct
        ? new Set(found.map(({ event }) => event.alertId)).size
        : found.length;
      return { isMet: times <= most, delaySeconds: null };
    },
  };
}

/** So many letters leave the boat in all. */
export const writes = (
  what: string,
  { least, most }: { least: number; most: number },
): Expectation => ({
  what,
  judge: ({ letters }) => ({
    isMet: letters.length >= least && letters.length <= most,
    delaySeconds: null,
  }),
});

/** Seconds after the start; null: it never happened in this run. */
export function momentOf({ moments, looseSeconds }: Played, at: string): number | null {
  const clock = /^(\d+):([0-5]\d)$/.exec(at);
  if (clock !== null) return Number(clock[1]) * 60 + Number(clock[2]) + looseSeconds;
  return moments.get(at) ?? null;
}

export const isAtLeast = (priority: Priority, least: Priority): boolean =>
  PRIORITIES.indexOf(priority) <= PRIORITIES.indexOf(least);
