/**
 * A generator runs and nothing is connected to it. Names the selector or main switch that keeps
 * its power from the buses.
 */
import type { Check, Verdict } from '../alerts/check.ts';
import type { Boat, Generator, PartId } from '../boat/boat.ts';
import type {
  MainSwitchState,
  PanelState,
  SelectorState,
  SourceState,
} from '../panel/panel-state.ts';
import { inWords } from '../panel/reasons.ts';
import { NOT_AT_WORK } from './modes.ts';
import { CAUTIONS, pointsOf } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';
import { keyOf } from './rule-names.ts';

const RULE = 'idle-generator';

/** Feeds a bus, or delivers current: connected. Neither: not. Otherwise it cannot be told. */
function verdict({ boat }: RuleContext, state: SourceState): Verdict {
  const isLive = state.legs.some((leg) => leg.live === 'live');
  const isDead = state.legs.every((leg) => leg.live === 'dead');
  if (isDead) return 'clear';
  if (!isLive) return 'unknown';
  const currents = state.legs.map((leg) => leg.amps.value);
  if (state.feeds.length > 0) return 'clear';
  if (currents.some((own) => own !== null && own > boat.limits.drawingAmps)) return 'clear';
  if (state.feedsIsKnown || currents.every((own) => own !== null)) return 'raise';
  return 'unknown';
}

type Link = { id: PartId; words: string };

/** Everything between `from` and the buses that is known, or may, keep its power away. */
function blockingLinks(boat: Boat, panel: PanelState, from: PartId): Link[] {
  const below = [
    ...panel.selectors.map((own) => selectorLink(own, from)),
    ...panel.mainSwitches.map((own) => switchLink(own, from)),
  ].filter((link) => link !== null);
  return below.flatMap((link) => {
    if (!link.passes) return [{ id: link.id, words: link.words }];
    return boat.buses.some((bus) => bus.from === link.id)
      ? []
      : blockingLinks(boat, panel, link.id);
  });
}

type Passing = Link & { passes: boolean };

function selectorLink(state: SelectorState, from: PartId): Passing | null {
  const wanted = state.positions.find((own) => own.from === from);
  if (!wanted) return null;
  const stands =
    state.position === null
      ? `${state.label} does not seem to stand on ${wanted.name}`
      : `${state.label} stands on ${state.position}, not on ${wanted.name}`;
  return { id: state.id, words: stands, passes: state.position === wanted.name };
}

function switchLink(state: MainSwitchState, from: PartId): Passing | null {
  if (state.from !== from) return null;
  const words = `${state.label} is ${state.position === 'unknown' ? 'perhaps open' : state.position}`;
  return { id: state.id, words, passes: state.position === 'closed' };
}

function check(context: RuleContext, generator: Generator, state: SourceState): Check {
  const { boat, panel } = context;
  const { limits } = boat;
  return {
    rule: RULE,
    key: `${RULE}.${generator.id}`,
    // A trial run is no running for nothing.
    modes: NOT_AT_WORK,
    levels: [
      {
        priority: 'warning',
        verdict: verdict(context, state),
        onDelayMs: limits.idleGeneratorMinutes * 60_000,
      },
    ],
    offDelayMs: limits.idleGeneratorClearSeconds * 1000,
    explains: [keyOf('generator-forgotten', generator.id)],
    describe() {
      const links = blockingLinks(boat, panel, generator.id);
      const why =
        links.length > 0
          ? `What keeps its power from the buses: ${inWords(links.map((link) => link.words))}.`
          : 'Nothing on the buses it feeds draws current.';
      return {
        rule: RULE,
        subject: { part: generator.id },
        priority: 'warning',
        title: `${generator.label} runs with nothing connected to it`,
        means: `${why} An unloaded diesel glazes and soots, and the fuel is burnt for nothing.`,
        doThis: `Either stop ${generator.label}, or switch the heavy loads off and turn the selectors so that it feeds a bus.`,
        cautions: [CAUTIONS.loadsOff, CAUTIONS.generator],
        evidence: state.legs.map((leg) => ({
          what: state.legs.length > 1 ? `Current on leg ${leg.leg}` : 'Current',
          value: leg.amps.value,
          threshold: limits.drawingAmps,
          unit: 'A',
        })),
        confidence: state.legs.every((leg) => leg.amps.evidence === 'measured')
          ? 'measured'
          : 'inferred',
        points: pointsOf(boat, generator.id),
      };
    },
  };
}

export const idleGenerator: Rule = (context) =>
  context.boat.sources.flatMap((source) => {
    if (source.kind !== 'generator') return [];
    const state = context.panel.sources.find((own) => own.id === source.id);
    return state ? [check(context, source, state)] : [];
  });
