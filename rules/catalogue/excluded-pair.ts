/** Two circuits run together that the boat file keeps apart. One alert a pair. */
import type { Check, Verdict } from '../alerts/check.ts';
import type { Boat, Circuit } from '../boat/boat.ts';
import type { CircuitState } from '../panel/panel-state.ts';
import { amps, CAUTIONS, circuitState, isRunning, pointsOf, runningAbove } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';

const RULE = 'excluded-pair';

type Pair = [first: Circuit, second: Circuit];

const found = new WeakMap<Boat, Pair[]>();

/** Each pair once, whichever of the two names the other; in the order of the boat file. */
function pairsOf(boat: Boat): Pair[] {
  const known = found.get(boat);
  if (known) return known;
  const isApart = (a: Circuit, b: Circuit): boolean =>
    a.excludes.includes(b.id) || b.excludes.includes(a.id);
  const pairs = boat.circuits.flatMap((first, i) =>
    boat.circuits
      .slice(i + 1)
      .filter((second) => isApart(first, second))
      .map((second): Pair => [first, second]),
  );
  found.set(boat, pairs);
  return pairs;
}

function verdict(boat: Boat, [first, second]: Pair, states: (CircuitState | undefined)[]): Verdict {
  const [a, b] = states;
  const firstRuns = a ? isRunning(boat, first, a) : null;
  const secondRuns = b ? isRunning(boat, second, b) : null;
  if (firstRuns === false || secondRuns === false) return 'clear';
  return firstRuns === null || secondRuns === null ? 'unknown' : 'raise';
}

function check({ boat, panel }: RuleContext, pair: Pair): Check {
  const [first, second] = pair;
  const states = pair.map((own) => circuitState(panel, own.id));
  return {
    rule: RULE,
    key: `${RULE}.${first.id}.${second.id}`,
    levels: [
      {
        priority: 'warning',
        verdict: verdict(boat, pair, states),
        onDelayMs: boat.limits.excludedSeconds * 1000,
      },
    ],
    offDelayMs: boat.limits.excludedSeconds * 1000,
    describe() {
      // The one with the lower order is dropped first; without an order it stays.
      const drop = (second.shedding ?? Infinity) < (first.shedding ?? Infinity) ? second : first;
      const isRanked = first.shedding !== undefined || second.shedding !== undefined;
      return {
        rule: RULE,
        subject: { part: first.id },
        priority: 'warning',
        title: `${first.label} and ${second.label} run together`,
        means: `The boat file keeps them apart. They draw ${amps(states[0]?.amps ?? null)} and ${amps(states[1]?.amps ?? null)}; together they may be too much for what feeds them.`,
        doThis: isRanked
          ? `Switch one of them off; ${drop.label} can wait.`
          : 'Switch off the one that can wait.',
        cautions: [CAUTIONS.neverProvesDead],
        evidence: pair.map((own, i) => ({
          what: `Current of ${own.label}`,
          value: states[i]?.amps.value ?? null,
          threshold: runningAbove(boat, own, states[i]),
          unit: 'A',
        })),
        confidence: states.every((own) => own?.amps.evidence === 'measured')
          ? 'measured'
          : 'inferred',
        points: pointsOf(boat, first.id, second.id),
      };
    },
  };
}

export const excludedPair: Rule = (context) =>
  pairsOf(context.boat).map((pair) => check(context, pair));
