/**
 * What the boat file does not say and physics must know: the true properties of each part of one
 * demonstration boat, how she stands at the start, and what her crew does all day.
 */
import type { PartId, PointId } from '../../rules/index.ts';
import type { TimedAction, VesselAction } from '../action.ts';
import type { BatteryParameters } from '../physics/battery.ts';
import type { GeneratorParameters } from '../physics/generator.ts';
import type { InverterParameters } from '../physics/inverter.ts';
import type { LoadParameters } from '../physics/loads/index.ts';
import type { PedestalParameters } from '../physics/pedestal.ts';
import type { SolarParameters } from '../physics/solar.ts';
import type { StartingPositions } from '../physics/switches.ts';
import type { WeatherParameters } from '../physics/weather.ts';
import type { Random } from '../random.ts';

export type SourceParameters =
  PedestalParameters | GeneratorParameters | InverterParameters | SolarParameters;

/** `calm`: an ordinary day. `lively`: the same with more going on, for people who look on. */
export type Mood = 'calm' | 'lively';

export interface Ship {
  /** The boat's name in her boat file. */
  boatName: string;
  weather: WeatherParameters;
  sources: Readonly<Record<PartId, SourceParameters>>;
  batteries: Readonly<Record<PartId, BatteryParameters>>;
  /** By circuit. */
  loads: Readonly<Record<PartId, LoadParameters>>;
  positions: StartingPositions;
  /** Sources that run at the start. */
  running: readonly PartId[];
  /** Ohms of one closed selector or switch with its share of cable, one wire. */
  contactOhms: number;
  /** One day of her crew, from midnight, in order of time. */
  routine(random: Random, mood: Mood): TimedAction<VesselAction>[];
  /** The `$source` that speaks for each open-marine-data point. */
  marineSources: Readonly<Record<PointId, string>>;
}
