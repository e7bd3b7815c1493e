/** A bank is too hot, or a lithium bank is being charged in the frost. Only where it is measured. */
import type { Finding, Priority } from '../alerts/alert.ts';
import type { Check, Verdict } from '../alerts/check.ts';
import { above, worst } from '../alerts/check.ts';
import type { Battery } from '../boat/boat.ts';
import { chemistryLimits } from '../boat/chemistry-limits.ts';
import type { BatteryState } from '../panel/panel-state.ts';
import { BATTERY_CAUTIONS } from './battery-words.ts';
import { CAUTIONS, pointsOf } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';

const RULE = 'battery-temperature';

/** Charging below freezing plates metal on a lithium cell; it is never well again (cell makers). */
function frost({ boat }: RuleContext, battery: Battery, state: BatteryState): Verdict {
  if (!chemistryLimits(boat, battery).isLithium) return 'clear';
  const { lithiumFrostCelsius, batteryTemperatureClearCelsius, drawingAmps } = boat.limits;
  const { value } = state.celsius;
  if (value === null) return 'unknown';
  if (value >= lithiumFrostCelsius + batteryTemperatureClearCelsius) return 'clear';
  if (value >= lithiumFrostCelsius) return 'hold';
  if (state.amps.value === null) return 'unknown';
  return state.amps.value > drawingAmps ? 'raise' : 'clear';
}

function describe(
  context: RuleContext,
  battery: Battery,
  state: BatteryState,
  priority: Priority,
): Finding {
  const { boat } = context;
  const own = chemistryLimits(boat, battery);
  const celsius = state.celsius.value ?? state.celsius.lastValue ?? null;
  const isCold = celsius !== null && celsius < own.hotCelsius / 2;
  const words = celsius === null ? '' : ` (${celsius.toFixed(0)} °C)`;
  const threshold = isCold
    ? boat.limits.lithiumFrostCelsius
    : priority === 'alarm'
      ? boat.limits.batteryVeryHotCelsius
      : own.hotCelsius;
  return {
    rule: RULE,
    subject: { part: battery.id },
    priority,
    title: isCold
      ? `${state.label} is being charged in the frost${words}`
      : `${state.label} is too hot${words}`,
    means: isCold
      ? 'Charging lithium cells below freezing damages them for good.'
      : 'Heat ages a bank, and a bank that goes on warming by itself can catch fire.',
    doThis: isCold
      ? 'Stop charging it until it has warmed up.'
      : 'Stop charging it, take heavy loads off it, and air its space.',
    cautions: [BATTERY_CAUTIONS.hot, CAUTIONS.electrician],
    evidence: [
      { what: 'Temperature', value: celsius, threshold, unit: '°C' },
      { what: 'Current, charging positive', value: state.amps.value, threshold: null, unit: 'A' },
    ],
    confidence: 'measured',
    points: pointsOf(boat, battery.id),
  };
}

function check(context: RuleContext, battery: Battery, state: BatteryState): Check {
  const { limits } = context.boat;
  const { hotCelsius } = chemistryLimits(context.boat, battery);
  const deadband = limits.batteryTemperatureClearCelsius;
  const hotter = (limit: number): Verdict => above(state.celsius, limit, limit - deadband);
  const onDelayMs = limits.batteryTemperatureMinutes * 60_000;
  return {
    rule: RULE,
    key: `${RULE}.${battery.id}`,
    levels: [
      { priority: 'alarm', verdict: hotter(limits.batteryVeryHotCelsius), onDelayMs },
      {
        priority: 'warning',
        verdict: worst([hotter(hotCelsius), frost(context, battery, state)]),
        onDelayMs,
      },
    ],
    offDelayMs: onDelayMs,
    describe: (priority) => describe(context, battery, state, priority),
  };
}

export const batteryTemperature: Rule = (context) =>
  context.boat.batteries.flatMap((battery) => {
    const state = context.panel.batteries.find((own) => own.id === battery.id);
    return state ? [check(context, battery, state)] : [];
  });
