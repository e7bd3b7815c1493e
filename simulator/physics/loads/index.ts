/** Makes the load that a ship's parameters ask for. */
import type { Random } from '../../random.ts';
import type { AirConditionerParameters } from './air-conditioner.ts';
import { AirConditioner } from './air-conditioner.ts';
import type { BatteryChargerParameters } from './battery-charger.ts';
import { BatteryCharger } from './battery-charger.ts';
import type { CookerParameters } from './cooker.ts';
import { Cooker } from './cooker.ts';
import type { CoolingPumpParameters } from './cooling-pump.ts';
import { CoolingPump } from './cooling-pump.ts';
import type { LaundryParameters } from './laundry.ts';
import { Laundry } from './laundry.ts';
import type { Load } from './load.ts';
import type { OutletsParameters } from './outlets.ts';
import { Outlets } from './outlets.ts';
import type { RefrigeratorParameters } from './refrigerator.ts';
import { Refrigerator } from './refrigerator.ts';
import type { SteadyParameters } from './steady.ts';
import { Steady } from './steady.ts';
import type { WaterHeaterParameters } from './water-heater.ts';
import { WaterHeater } from './water-heater.ts';
import type { BilgePumpParameters, FreshWaterPumpParameters } from './water-pumps.ts';
import { BilgePump, FreshWaterPump } from './water-pumps.ts';

export type LoadParameters =
  | AirConditionerParameters
  | BatteryChargerParameters
  | BilgePumpParameters
  | CookerParameters
  | CoolingPumpParameters
  | FreshWaterPumpParameters
  | LaundryParameters
  | OutletsParameters
  | RefrigeratorParameters
  | SteadyParameters
  | WaterHeaterParameters;

/** `volts` is the nominal voltage between the wires the load is on. */
export function createLoad(parameters: LoadParameters, volts: number, random: Random): Load {
  switch (parameters.kind) {
    case 'air conditioner':
      return new AirConditioner(parameters, volts, random);
    case 'charger':
      return new BatteryCharger(parameters, volts);
    case 'bilge pump':
      return new BilgePump(parameters, volts);
    case 'cooker':
      return new Cooker(parameters, volts, random);
    case 'cooling pump':
      return new CoolingPump(parameters, volts);
    case 'fresh water pump':
      return new FreshWaterPump(parameters, volts);
    case 'laundry':
      return new Laundry(parameters, volts);
    case 'outlets':
      return new Outlets(parameters, volts, random);
    case 'refrigerator':
      return new Refrigerator(parameters, volts, random);
    case 'steady':
      return new Steady(parameters, volts, random);
    case 'water heater':
      return new WaterHeater(parameters, volts);
  }
}
