/**
 * Shore power that fed the boat is gone. Told apart: the whole inlet is dead (dock or cord), or one
 * leg of it. What is dead behind a live inlet is `dead-bus`; a sensor that fell silent is neither:
 * this rule then does not know, and `sensor-silent` says so.
 */
import type { Finding } from '../alerts/alert.ts';
import type { Check, Verdict } from '../alerts/check.ts';
import type { ShoreInlet } from '../boat/boat.ts';
import type { LegState, SourceState } from '../panel/panel-state.ts';
import { inWords } from '../panel/reasons.ts';
import { amps, CAUTIONS, label, pointsOf } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';

const RULE = 'shore-power-lost';

/** Buses that the inlet was the last known source of. */
function lastFed({ boat, past }: RuleContext, inlet: ShoreInlet): string[] {
  return boat.buses.filter((bus) => past.feeds[bus.id]?.by === inlet.id).map((bus) => bus.id);
}

/** Whether a live leg is within the band of a good supply; null where its volts are not known. */
function isInBand({ boat }: RuleContext, leg: LegState): boolean | null {
  const nominal = boat.ac?.volts;
  if (leg.volts.value === null || nominal === undefined) return null;
  const ratio = leg.volts.value / nominal;
  return ratio >= boat.limits.inBandLowRatio && ratio <= boat.limits.inBandHighRatio;
}

function verdict(context: RuleContext, inlet: ShoreInlet, state: SourceState): Verdict {
  if (lastFed(context, inlet).length === 0) return 'clear';
  if (state.legs.some((leg) => leg.live === 'dead')) return 'raise';
  const bands = state.legs.map((leg) => isInBand(context, leg));
  if (bands.every((own) => own === true)) return 'clear';
  return bands.includes(null) ? 'unknown' : 'hold';
}

/** What has stopped and what carries on, in whole sentences. */
function consequences({ boat, panel }: RuleContext): string {
  const chargers = boat.circuits.filter((own) => own.charges !== undefined);
  const sentences = chargers.map((own) => `${own.label} gets no power.`);
  for (const battery of panel.batteries) {
    const { value } = battery.amps;
    if (value !== null && value < 0) {
      sentences.push(`${battery.label} now delivers ${amps(-value)}.`);
    }
  }
  return sentences.join(' ');
}

function describe(context: RuleContext, inlet: ShoreInlet, state: SourceState): Finding {
  const { boat } = context;
  const dead = state.legs.filter((leg) => leg.live === 'dead');
  const isWhole = dead.length === state.legs.length || state.legs.length === 1;
  const legs = inWords(dead.map((leg) => leg.leg));
  const nominal = boat.ac?.volts ?? 0;
  const fed = lastFed(context, inlet);
  const buses = inWords(fed.map((id) => label(boat, id)));
  return {
    rule: RULE,
    subject: {
      part: inlet.id,
      ...(isWhole || dead[0] === undefined ? {} : { leg: dead[0].leg }),
    },
    priority: 'alarm',
    title: isWhole
      ? `Shore power lost: ${inlet.label} reads no voltage`
      : `One leg of shore power lost: leg ${legs} of ${inlet.label} reads no voltage`,
    means: isWhole
      ? `The breaker on the dock, the cord or the supply ashore has failed; ${buses} ${fed.length > 1 ? 'are' : 'is'} without it. ${consequences(context)}`.trim()
      : `A pole of the dock breaker or a pin of the plug has failed; whatever runs on leg ${legs} or across both legs is without power, the other leg goes on.`,
    doThis: isWhole
      ? 'Look at the breaker on the dock and at the cord. If you change to another source, switch heavy loads off first.'
      : 'Switch heavy loads off, then look at the breaker on the dock, the cord and the plug for heat or browning.',
    cautions: [CAUTIONS.shorePlug, CAUTIONS.neverProvesDead, CAUTIONS.electrician],
    evidence: state.legs.map((leg) => ({
      what: state.legs.length > 1 ? `Voltage on leg ${leg.leg}` : 'Voltage',
      value: leg.volts.value,
      threshold: nominal * boat.limits.deadRatio,
      unit: 'V',
    })),
    confidence: dead.every((leg) => leg.volts.evidence === 'measured') ? 'measured' : 'inferred',
    points: pointsOf(boat, inlet.id),
  };
}

function check(context: RuleContext, inlet: ShoreInlet, state: SourceState): Check {
  const { limits } = context.boat;
  return {
    rule: RULE,
    key: `${RULE}.${inlet.id}`,
    levels: [
      {
        priority: 'alarm',
        verdict: verdict(context, inlet, state),
        onDelayMs: limits.shoreLostSeconds * 1000,
      },
    ],
    offDelayMs: limits.shoreBackSeconds * 1000,
    describe: () => describe(context, inlet, state),
  };
}

export const shorePowerLost: Rule = (context) =>
  context.boat.sources.flatMap((source) => {
    if (source.kind !== 'shore inlet') return [];
    const state = context.panel.sources.find((own) => own.id === source.id);
    return state ? [check(context, source, state)] : [];
  });
