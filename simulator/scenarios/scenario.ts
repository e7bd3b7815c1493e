/** A scenario: a boat at some hour, her crew or nobody, and what befalls her. */
import type { Action, TimedAction } from '../action.ts';
import type { LoadParameters } from '../physics/loads/index.ts';
import type { Mood, Ship } from '../ships/ship.ts';

export interface Scenario {
  /** As on the command line. */
  name: string;
  title: string;
  /** What truly happens, in whole sentences, for whoever judges what panelward makes of it. */
  tells: string;
  /** The boat it is made for, by name; absent: any boat. */
  boatName?: string;
  /** Time of day `02:10` at its start. */
  startsAt: string;
  minutes: number;
  /** The crew's day goes on beside the script, or everybody is asleep or away. */
  crew: Mood | 'away';
  /** Physics run so long before the start, so that everything has settled. */
  settleMinutes: number;
  /** How the boat differs from her usual self in this scenario. */
  setUp?: (ship: Ship) => Ship;
  /** In order of time. */
  script: readonly TimedAction[];
}

/** `04:30` minutes and seconds after the start. */
export function after(clock: string, action: Action): TimedAction {
  const match = /^(\d+):([0-5]\d)$/.exec(clock);
  if (match === null) throw new Error(`no minutes and seconds: ${clock}`);
  return { atMs: (Number(match[1]) * 60 + Number(match[2])) * 1000, action };
}

/** The loads of a ship with some of them changed, for a scenario's `setUp`. */
export function changeLoads(
  loads: Ship['loads'],
  change: (load: LoadParameters) => LoadParameters,
): Ship['loads'] {
  const changed: Record<string, LoadParameters> = {};
  for (const [id, load] of Object.entries(loads)) changed[id] = change(load);
  return changed;
}
