/**
 * A bank is low, or soon will be: by its state of charge, by its volts as far as the load lets them
 * say anything, and by the hours that are left at the recent pattern.
 */
import type { Evident, Finding, Priority } from '../alerts/alert.ts';
import type { Check, Verdict } from '../alerts/check.ts';
import { worst } from '../alerts/check.ts';
import type { Battery } from '../boat/boat.ts';
import { chemistryLimits } from '../boat/chemistry-limits.ts';
import type { BatteryState } from '../panel/panel-state.ts';
import { BATTERY_CAUTIONS, batteryOutlook, hoursWords, largestLoads } from './battery-words.ts';
import { percent, pointsOf, wasHeard } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';

const RULE = 'battery-low';

/** Hours must rise to this share of the limit before they clear. */
const HOURS_CLEAR_RATIO = 1.5;

interface Bank {
  context: RuleContext;
  battery: Battery;
  state: BatteryState;
}

const isCharging = ({ context, state }: Bank): boolean =>
  (state.amps.value ?? 0) > context.boat.limits.drawingAmps;

/** Below `limit`, and not on its way up already. */
function lower(bank: Bank, value: number | null, limit: number, deadband: number): Verdict {
  if (value === null) return 'unknown';
  if (value >= limit + deadband) return 'clear';
  return value < limit && !isCharging(bank) ? 'raise' : 'hold';
}

/** The state of charge counts if anything ever told it; what has gone silent is not left out. */
function chargeBelow(bank: Bank, limit: number): Verdict[] {
  const { boat } = bank.context;
  const { stateOfCharge, lastFullMs, amps } = bank.state;
  const hasSensor = wasHeard(stateOfCharge) && stateOfCharge.evidence !== 'inferred';
  const isCountGone = stateOfCharge.value === null && amps.value !== null;
  if (!hasSensor && (lastFullMs === null || isCountGone)) return [];
  return [lower(bank, stateOfCharge.value, limit, boat.limits.batteryClearRatio)];
}

function voltsBelow(bank: Bank, limit: number): Verdict[] {
  const { boat } = bank.context;
  const { volts } = bank.state;
  const { clearVolts } = chemistryLimits(boat, bank.battery);
  return wasHeard(volts) ? [lower(bank, volts.value, limit, clearVolts)] : [];
}

/** Under load a good bank's volts fall too, so this limit counts only at a light one. */
function restingVoltsBelow(bank: Bank, limit: number): Verdict[] {
  const { amps } = bank.state;
  const light = bank.context.boat.limits.batteryLightLoadRatio * bank.battery.ampHours;
  return voltsBelow(bank, limit).map((verdict) => {
    if (verdict !== 'raise') return verdict;
    if (amps.value === null) return 'unknown';
    return -amps.value < light ? 'raise' : 'hold';
  });
}

function hoursBelow({ context, state }: Bank): Verdict[] {
  const limit = context.boat.limits.batteryShortHours;
  if (state.hoursLeft === null) return [];
  if (state.hoursLeft.low < limit) return ['raise'];
  return [state.hoursLeft.low >= limit * HOURS_CLEAR_RATIO ? 'clear' : 'hold'];
}

function describe(bank: Bank, priority: Priority): Finding {
  const { context, battery, state } = bank;
  const { boat } = context;
  const own = chemistryLimits(boat, battery);
  const charge = state.stateOfCharge.value;
  const isSoon = charge !== null && charge > own.floorRatio && priority === 'warning';
  const facts = [
    ...(charge === null ? [] : [percent(charge)]),
    ...(state.volts.value === null ? [] : [`${state.volts.value.toFixed(1)} V`]),
  ];
  const title =
    isSoon && state.hoursLeft !== null && hoursBelow(bank).includes('raise')
      ? `${state.label} lasts ${hoursWords(state.hoursLeft)} more`
      : `${state.label} is ${priority === 'alarm' ? 'very low' : 'low'}: ${facts.join(', ')}`;
  const harm = own.isLithium
    ? 'Its protection may switch everything aboard off without notice.'
    : 'A lead-acid bank ages fast below half, and near empty it is damaged for good.';
  return {
    rule: RULE,
    subject: { part: battery.id },
    priority,
    title,
    means: [harm, batteryOutlook(state), largestLoads(context, battery.id)]
      .filter(Boolean)
      .join(' '),
    doThis:
      'Charge it from shore, a generator or an engine, or switch off what can wait; leave the bilge pumps on.',
    cautions: own.isLithium
      ? [BATTERY_CAUTIONS.shortCircuit]
      : [BATTERY_CAUTIONS.shortCircuit, BATTERY_CAUTIONS.gas],
    evidence: evidence(bank, priority),
    confidence: state.volts.value === null && charge === null ? 'inferred' : 'measured',
    points: pointsOf(boat, battery.id),
  };
}

function evidence({ context, battery, state }: Bank, priority: Priority): Evident[] {
  const { limits } = context.boat;
  const own = chemistryLimits(context.boat, battery);
  const isAlarm = priority === 'alarm';
  const charge = state.stateOfCharge.value;
  return [
    {
      what: 'Voltage',
      value: state.volts.value,
      threshold: isAlarm ? own.veryLowVolts : own.lowVolts,
      unit: 'V',
    },
    {
      what: 'State of charge',
      value: charge === null ? null : charge * 100,
      threshold: (isAlarm ? own.reserveRatio : own.floorRatio) * 100,
      unit: '%',
    },
    {
      what: 'Hours left, at the least',
      value: state.hoursLeft?.low ?? null,
      threshold: limits.batteryShortHours,
      unit: 'h',
    },
    { what: 'Current, charging positive', value: state.amps.value, threshold: null, unit: 'A' },
  ];
}

function check(bank: Bank): Check {
  const { boat } = bank.context;
  const { limits } = boat;
  const own = chemistryLimits(boat, bank.battery);
  return {
    rule: RULE,
    key: `${RULE}.${bank.battery.id}`,
    levels: [
      {
        priority: 'alarm',
        verdict: worst(voltsBelow(bank, own.emptyVolts)),
        onDelayMs: limits.batteryEmptySeconds * 1000,
      },
      {
        priority: 'alarm',
        verdict: worst([
          ...voltsBelow(bank, own.veryLowVolts),
          ...chargeBelow(bank, own.reserveRatio),
        ]),
        onDelayMs: limits.batteryVeryLowMinutes * 60_000,
      },
      {
        priority: 'warning',
        verdict: worst([
          ...restingVoltsBelow(bank, own.lowVolts),
          ...chargeBelow(bank, own.floorRatio),
          ...hoursBelow(bank),
        ]),
        onDelayMs: limits.batteryLowMinutes * 60_000,
      },
    ],
    offDelayMs: limits.batteryClearMinutes * 60_000,
    describe: (priority) => describe(bank, priority),
  };
}

export const batteryLow: Rule = (context) =>
  context.boat.batteries.flatMap((battery) => {
    const state = context.panel.batteries.find((own) => own.id === battery.id);
    return state ? [check({ context, battery, state })] : [];
  });
