/**
 * Every limit and delay a rule uses, with its default. A boat file overrides them one by one under
 * `limits:`. Starting values to be tuned, never promises; those from a standard say so, the others
 * are common practice.
 */
import { mapRecord } from './records.ts';
import { PANEL_LIMITS } from './limits/panel.ts';
import { SENSORS_LIMITS } from './limits/sensors.ts';
import { CIRCUITS_LIMITS } from './limits/circuits.ts';
import { LOADS_LIMITS } from './limits/loads.ts';
import { SOURCES_LIMITS } from './limits/sources.ts';
import { SHORE_LIMITS } from './limits/shore.ts';
import { SHORE_CONNECTION_LIMITS } from './limits/shore-connection.ts';
import { SHORE_VOLTAGE_LIMITS } from './limits/shore-voltage.ts';
import { BATTERIES_LIMITS } from './limits/batteries.ts';
import { PUMPS_LIMITS } from './limits/pumps.ts';
import type { LimitDescription } from './limits/limit.ts';
export type { LimitDescription } from './limits/limit.ts';

export const LIMITS = {
  ...PANEL_LIMITS,
  ...SENSORS_LIMITS,
  ...LOADS_LIMITS,
  ...CIRCUITS_LIMITS,
  ...SOURCES_LIMITS,
  ...SHORE_LIMITS,
  ...SHORE_VOLTAGE_LIMITS,
  ...SHORE_CONNECTION_LIMITS,
  ...BATTERIES_LIMITS,
  ...PUMPS_LIMITS,
} as const satisfies Record<string, LimitDescription>;

export type LimitName = keyof typeof LIMITS;

/** The defaults as plain numbers, overridden by `given`. */
export function limitsWith(
  given: Partial<Record<LimitName, number>> = {},
): Readonly<Record<LimitName, number>> {
  const defaults = mapRecord<LimitName, LimitDescription, number>(LIMITS, (own) => own.default);
  return { ...defaults, ...given };
}
