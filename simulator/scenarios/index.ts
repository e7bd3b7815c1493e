/** Every scenario by name. */
import { airConditionerWithoutPump } from './air-conditioner-without-pump.ts';
import { demo } from './demo.ts';
import { generatorWithNothingConnected } from './generator-with-nothing-connected.ts';
import { oneLegLost } from './one-leg-lost.ts';
import { overloadAtBreakfast } from './overload-at-breakfast.ts';
import { quietDayCanal } from './quiet-day-canal.ts';
import { quietDay } from './quiet-day.ts';
import type { Scenario } from './scenario.ts';
import { sensorSilent } from './sensor-silent.ts';
import { shoreLostAtNight } from './shore-lost-at-night.ts';
import { shoreLostCanal } from './shore-lost-canal.ts';

export const SCENARIOS: readonly Scenario[] = [
  demo,
  quietDay,
  shoreLostAtNight,
  airConditionerWithoutPump,
  generatorWithNothingConnected,
  overloadAtBreakfast,
  sensorSilent,
  oneLegLost,
  quietDayCanal,
  shoreLostCanal,
];

export const DEFAULT_SCENARIO = demo;

export function scenarioNamed(name: string): Scenario | undefined {
  return SCENARIOS.find((scenario) => scenario.name === name);
}

/** Those that can be played on the boat of this name. */
export function scenariosFor(boatName: string): Scenario[] {
  return SCENARIOS.filter((scenario) => (scenario.boatName ?? boatName) === boatName);
}
