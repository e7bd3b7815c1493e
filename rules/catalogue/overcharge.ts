/**
 * A charger holds a bank at a voltage that boils it. Only volts that stay are told, since a charger
 * may overshoot. A cold lead-acid bank rightly gets more volts and a warm one fewer: with its
 * temperature measured the limit moves along, without it the finding says so.
 */
import type { Finding } from '../alerts/alert.ts';
import type { Check } from '../alerts/check.ts';
import { above } from '../alerts/check.ts';
import type { Battery } from '../boat/boat.ts';
import { chemistryLimits } from '../boat/chemistry-limits.ts';
import { compensatedChargeVolts } from '../electrical/batteries.ts';
import type { BatteryState } from '../panel/panel-state.ts';
import { inWords } from '../panel/reasons.ts';
import { BATTERY_CAUTIONS, chargersOf } from './battery-words.ts';
import { CAUTIONS, pointsOf } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';

const RULE = 'overcharge';

/** Published coefficients are -3 and -5 mV a cell and degree; the smaller moves the limit less. */
const VOLTS_PER_CELL_PER_CELSIUS = -0.003;

/** Volts above which it is too much, at the bank's temperature where that is measured. */
function limitVolts({ boat, mode }: RuleContext, battery: Battery, celsius: number | null): number {
  const own = chemistryLimits(boat, battery);
  const volts = mode === 'work in progress' ? own.equaliseVolts : own.overchargeVolts;
  if (celsius === null) return volts;
  return compensatedChargeVolts(volts, celsius, battery, VOLTS_PER_CELL_PER_CELSIUS) ?? volts;
}

function describe(context: RuleContext, battery: Battery, state: BatteryState): Finding {
  const { boat } = context;
  const own = chemistryLimits(boat, battery);
  const celsius = state.celsius.value;
  const volts = state.volts.value;
  const chargers = chargersOf(boat, battery.id).map((charger) => charger.label);
  const named = chargers.length > 0 ? inWords(chargers, 'and') : 'whatever charges it';
  const blind = own.isLithium
    ? ''
    : celsius === null
      ? 'Its temperature is not measured here: a cold bank may rightly get a little more, a warm one ought to get less.'
      : `The limit is that of a bank at ${celsius.toFixed(0)} °C.`;
  return {
    rule: RULE,
    subject: { part: battery.id },
    priority: 'alarm',
    title: `${state.label} is being overcharged: ${volts === null ? 'its voltage' : `${volts.toFixed(1)} V`}`,
    means: [
      own.isLithium
        ? 'The cells are above what their makers allow; the bank may disconnect itself or be damaged.'
        : 'The bank gasses, loses water and may overheat.',
      blind,
    ]
      .filter(Boolean)
      .join(' '),
    doThis: `Switch off ${named}, and solar or alternator if they go on charging. Feel the outside of the bank for heat, and let it stand before you charge it again.${own.isLithium ? '' : ' If you are equalising it, say that work is in progress.'}`,
    cautions: [
      ...(own.isLithium ? [] : [BATTERY_CAUTIONS.gas]),
      BATTERY_CAUTIONS.hot,
      CAUTIONS.electrician,
    ],
    evidence: [
      {
        what: 'Voltage',
        value: volts,
        threshold: limitVolts(context, battery, celsius),
        unit: 'V',
      },
      { what: 'Current, charging positive', value: state.amps.value, threshold: null, unit: 'A' },
      { what: 'Temperature', value: celsius, threshold: null, unit: '°C' },
    ],
    confidence: 'measured',
    points: pointsOf(boat, battery.id, ...chargersOf(boat, battery.id).map(({ id }) => id)),
  };
}

function check(context: RuleContext, battery: Battery, state: BatteryState): Check {
  const { limits } = context.boat;
  const limit = limitVolts(context, battery, state.celsius.value);
  const { overchargeClearVolts } = chemistryLimits(context.boat, battery);
  return {
    rule: RULE,
    key: `${RULE}.${battery.id}`,
    levels: [
      {
        priority: 'alarm',
        verdict: above(state.volts, limit, limit - overchargeClearVolts),
        onDelayMs: limits.overchargeMinutes * 60_000,
        // One reading below the limit does not make it any better.
        gapMs: 60_000,
      },
    ],
    offDelayMs: limits.chargerBackSeconds * 1000,
    describe: () => describe(context, battery, state),
  };
}

export const overcharge: Rule = (context) =>
  context.boat.batteries.flatMap((battery) => {
    const state = context.panel.batteries.find((own) => own.id === battery.id);
    return state ? [check(context, battery, state)] : [];
  });
