/** The words of `shore-power-lost`: what is gone, what follows, what to look at. */
import type { Finding } from '../alerts/alert.ts';
import type { LegState } from '../panel/panel-state.ts';
import { inWords } from '../panel/reasons.ts';
import { batteryOutlook } from './battery-words.ts';
import { amps, CAUTIONS, label, pointsOf, duration } from './rule.ts';
import type { RuleContext } from './rule.ts';
import type { Inlet } from './shore-inlets.ts';
import { chargersOn, lastFed } from './shore-inlets.ts';

/**
 * How it is gone: read dead, whole or one leg; known only from the DC side, with the AC sensors
 * silent or standing still; hidden by a sensor that hangs, while all that it fed reads dead; or there
 * again, but out of band.
 */
export type Loss = 'dead' | 'silent' | 'frozen' | 'hidden' | 'back but bad';

/** What has stopped and what carries on, in whole sentences. */
function consequences(context: RuleContext, { inlet }: Inlet): string {
  const { boat, panel } = context;
  const fed = lastFed(context, inlet.id);
  const dead = chargersOn(boat, fed).filter(
    (own) => panel.circuits.find((state) => state.id === own.id)?.live !== 'live',
  );
  const sentences = dead.map((own) => `${own.label} gets no power.`);
  for (const battery of panel.batteries) {
    const { value } = battery.amps;
    if (value !== null && value < 0) {
      sentences.push(`${battery.label} now delivers ${amps(-value)}.`);
    }
    const outlook = batteryOutlook(battery);
    if (outlook !== '') sentences.push(outlook);
  }
  return sentences.join(' ');
}

const LOOK_ASHORE =
  'Look at the breaker on the dock and at the cord. If you change to another source, switch heavy loads off first.';

function deadWords(context: RuleContext, own: Inlet, dead: readonly LegState[]) {
  const { inlet, state } = own;
  const isWhole = dead.length === state.legs.length || state.legs.length === 1;
  const legs = inWords(dead.map((leg) => leg.leg));
  if (!isWhole) {
    return {
      title: `One leg of shore power lost: leg ${legs} of ${inlet.label} reads no voltage`,
      means: `A pole of the dock breaker or a pin of the plug has failed; whatever runs on leg ${legs} or across both legs is without power, the other leg goes on.`,
      doThis:
        'Switch heavy loads off, then look at the breaker on the dock, the cord and the plug for heat or browning.',
    };
  }
  const fed = lastFed(context, inlet.id);
  const buses = inWords(fed.map((id) => label(context.boat, id)));
  return {
    title: `Shore power lost: ${inlet.label} reads no voltage`,
    means:
      `The breaker on the dock, the cord or the supply ashore has failed; ${buses} ${fed.length > 1 ? 'are' : 'is'} without it. ${consequences(context, own)}`.trim(),
    doThis: LOOK_ASHORE,
  };
}

function inferredWords(context: RuleContext, own: Inlet, loss: 'silent' | 'frozen') {
  const { inlet } = own;
  const sensors =
    loss === 'silent'
      ? 'the AC sensors fell silent'
      : `the sensors of ${inlet.label} go on saying the same volts to the last digit, as a sensor does that hangs,`;
  return {
    title:
      loss === 'silent'
        ? `Shore power is likely lost: ${inlet.label} is silent and the battery discharges`
        : `Shore power is likely lost: readings of ${inlet.label} stand still, the battery discharges`,
    means:
      `Inferred from the DC side: ${sensors} and the bank that the charger had carried turned to discharge. ${consequences(context, own)}`.trim(),
    doThis: `${LOOK_ASHORE} Then see to the AC sensors.`,
  };
}

function hiddenWords(context: RuleContext, own: Inlet) {
  const { inlet } = own;
  const fed = lastFed(context, inlet.id).map((id) => label(context.boat, id));
  const all = inWords(fed);
  return {
    title: `Shore power is likely lost: ${all} read${fed.length > 1 ? '' : 's'} no voltage, and the sensor of ${inlet.label} hangs`,
    means:
      `The sensors of ${inlet.label} go on saying the same volts to the last digit, as a sensor does that hangs, while ${all} ${fed.length > 1 ? 'have' : 'has'} no voltage. Either shore power is gone, or a switch between the inlet and ${all} is open. ${consequences(context, own)}`.trim(),
    doThis: `${LOOK_ASHORE} Then see to the sensors of ${inlet.label}.`,
  };
}

function badWords({ inlet, state }: Inlet) {
  const volts = inWords(state.legs.map((leg) => `${(leg.volts.value ?? 0).toFixed(0)} V`));
  return {
    title: `Shore power came back bad: ${inlet.label} reads ${volts}`,
    means:
      'Voltage has returned but lies outside the band of a good supply. Motors run hot or fail to start on it, and chargers may not charge.',
    doThis:
      'Do not use it: switch heavy loads and motors off and have the supply ashore looked at.',
  };
}

const LASTED = ' It has been gone for ';

/** What the loss means, without how long it has lasted: for what is read later. */
export const withoutLasted = (means: string): string =>
  means.replace(new RegExp(`${LASTED}[^.]*\\.`), '');

/** The finding for one inlet. `trips`: losses within a minute of coming back. */
export function describeLoss(
  context: RuleContext,
  own: Inlet,
  loss: Loss,
  { trips, sinceMs }: { trips: number; sinceMs: number | null },
): Finding {
  const { boat, nowMs } = context;
  const { inlet, state } = own;
  const dead = state.legs.filter((leg) => leg.live === 'dead');
  const words =
    loss === 'dead'
      ? deadWords(context, own, dead)
      : loss === 'back but bad'
        ? badWords(own)
        : loss === 'hidden'
          ? hiddenWords(context, own)
          : inferredWords(context, own, loss);
  const isLeg = loss === 'dead' && dead.length < state.legs.length && dead[0] !== undefined;
  const lasted = sinceMs === null ? '' : `${LASTED}${duration(nowMs - sinceMs)}.`;
  const again =
    trips === 0
      ? ''
      : ` It tripped on return ${trips === 1 ? 'once' : `${trips} times`}: power came back and went within ${duration(boat.limits.shoreTrippedOnReturnSeconds * 1000)}, as when everything starts at once.`;
  const restart =
    trips === 0
      ? ''
      : ' Switch every load off before the breaker is reset, then switch them on one by one, the charger first.';
  const low = (boat.ac?.volts ?? 0) * boat.limits.inBandLowRatio;
  return {
    rule: 'shore-power-lost',
    subject: { part: inlet.id, ...(isLeg ? { leg: dead[0]?.leg ?? '' } : {}) },
    priority: 'alarm',
    title: words.title,
    means: `${words.means}${loss === 'back but bad' ? '' : lasted}${again}`,
    doThis: `${words.doThis}${restart}`,
    cautions: [CAUTIONS.shorePlug, CAUTIONS.neverProvesDead, CAUTIONS.electrician],
    evidence: [
      ...state.legs.map((leg) => ({
        what: state.legs.length > 1 ? `Voltage on leg ${leg.leg}` : 'Voltage',
        value: leg.volts.value,
        threshold: loss === 'back but bad' ? low : (boat.ac?.volts ?? 0) * boat.limits.deadRatio,
        unit: 'V',
      })),
      ...inferredEvidence(context, inlet.id, loss),
    ],
    confidence:
      INFERRED.has(loss) || dead.some((leg) => leg.volts.evidence !== 'measured')
        ? 'inferred'
        : 'measured',
    points: pointsOf(boat, inlet.id, ...besides(context, inlet.id, loss)),
  };
}

const INFERRED: ReadonlySet<Loss> = new Set(['silent', 'frozen', 'hidden']);

/** Parts beside the inlet whose readings the finding rests on. */
function besides(context: RuleContext, inlet: string, loss: Loss): string[] {
  if (loss === 'dead') return [];
  return loss === 'hidden' ? lastFed(context, inlet) : context.boat.batteries.map(({ id }) => id);
}

function inferredEvidence({ boat, panel, past }: RuleContext, inlet: string, loss: Loss) {
  if (loss === 'hidden') {
    return panel.buses
      .filter(({ id }) => past.feeds[id]?.by === inlet)
      .flatMap(({ label: name, legs }) =>
        legs.map(({ leg, volts }) => ({
          what: legs.length > 1 ? `Voltage of ${name} on leg ${leg}` : `Voltage of ${name}`,
          value: volts.value,
          threshold: (boat.ac?.volts ?? 0) * boat.limits.deadRatio,
          unit: 'V',
        })),
      );
  }
  if (loss !== 'silent' && loss !== 'frozen') return [];
  return panel.batteries.map((battery) => ({
    what: `Current into ${battery.label}`,
    value: battery.amps.value,
    threshold: -boat.limits.bankDischargeAmps,
    unit: 'A',
  }));
}
