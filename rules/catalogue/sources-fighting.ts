/**
 * Two sources deliver current at once, though by what the panel says one of them feeds nothing: they
 * may both be on one bus, which a selector ought to make impossible, or a clamp is on another wire.
 */
import type { Check } from '../alerts/check.ts';
import type { PartId } from '../boat/boat.ts';
import type { SourceState } from '../panel/panel-state.ts';
import { inWords } from '../panel/reasons.ts';
import { canFeed } from './generator-run.ts';
import { amps, CAUTIONS, pointsOf, wasHeard } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';
import { keyOf } from './rule-names.ts';

const RULE = 'sources-fighting';

/** Clearly more than a clamp's own error, as a multiple of `drawingAmps`. */
const DELIVERS = 4;

interface Delivering {
  state: SourceState;
  amps: number;
  feedsNothing: boolean;
}

function delivering({ boat, panel }: RuleContext): Delivering[] {
  return panel.sources.flatMap((state) => {
    if (state.system !== 'ac') return [];
    const most = Math.max(
      ...state.legs.map((leg) =>
        leg.live === 'live' && leg.amps.evidence === 'measured' ? (leg.amps.value ?? 0) : 0,
      ),
    );
    if (most <= boat.limits.drawingAmps * DELIVERS) return [];
    return [{ state, amps: most, feedsNothing: state.feedsIsKnown && state.feeds.length === 0 }];
  });
}

/** Buses that both may feed, by the way the boat is wired. */
function shared({ boat }: RuleContext, one: PartId, other: PartId): PartId[] {
  return boat.buses
    .filter((bus) => canFeed(boat, one, bus.id) && canFeed(boat, other, bus.id))
    .map((bus) => bus.id);
}

/** The source that feeds nothing it should, with the others that it may be on one bus with. */
function fighters(context: RuleContext): Delivering[] {
  const all = delivering(context);
  const odd = all.find((own) => own.feedsNothing);
  if (!odd) return [];
  const others = all.filter(
    (own) => own !== odd && shared(context, odd.state.id, own.state.id).length > 0,
  );
  return others.length > 0 ? [odd, ...others] : [];
}

/** A clamp on a source has fallen silent. */
const isBlind = ({ panel }: RuleContext): boolean =>
  panel.sources.some(
    (state) =>
      state.system === 'ac' &&
      state.legs.some((leg) => leg.amps.value === null && wasHeard(leg.amps)),
  );

export const sourcesFighting: Rule = (context) => {
  const { boat } = context;
  const sources = boat.sources.filter((source) => source.system === 'ac');
  if (sources.length < 2) return [];
  const found = fighters(context);
  const check: Check = {
    rule: RULE,
    key: RULE,
    levels: [
      {
        priority: 'alarm',
        verdict: found.length > 0 ? 'raise' : isBlind(context) ? 'unknown' : 'clear',
        onDelayMs: boat.limits.sourcesFightingSeconds * 1000,
      },
    ],
    offDelayMs: boat.limits.sourcesFightingSeconds * 1000,
    explains: [keyOf('contradiction')],
    describe() {
      const names = inWords(found.map((own) => own.state.label));
      const odd = found[0]?.state.label ?? 'One of them';
      return {
        rule: RULE,
        subject: { part: found[0]?.state.id ?? '' },
        priority: 'alarm',
        title: `${names} deliver at once, and by the positions ${odd} feeds nothing`,
        means:
          'Two sources may be on one bus: their voltages fight, which destroys generators and inverters and can put power back onto the dock. Or a current sensor is on another wire.',
        doThis:
          'Switch heavy loads off, then stop or switch off one of the sources at itself. Do not turn a selector under load. Have the selectors and the wiring looked at before both run again.',
        cautions: [CAUTIONS.loadsOff, CAUTIONS.neverProvesDead, CAUTIONS.electrician],
        evidence: found.map((own) => ({
          what: `Current of ${own.state.label} (${amps(own.amps)})`,
          value: own.amps,
          threshold: boat.limits.drawingAmps * DELIVERS,
          unit: 'A',
        })),
        confidence: 'inferred',
        points: pointsOf(boat, ...found.map((own) => own.state.id)),
        needsInspection: true,
      };
    },
  };
  return [check];
};
