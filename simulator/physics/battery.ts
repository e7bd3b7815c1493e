/**
 * A battery bank: rest voltage by state of charge, resistance that grows towards full while it is
 * being charged (so that the current tapers), a slow polarisation, and the ampere-hours in it.
 */
import type { Battery as BatteryPart } from '../../rules/index.ts';

export interface BatteryParameters {
  stateOfCharge: number;
  /** Ohms of the whole bank and its cables at half charge. */
  ohms: number;
  /** Share of the rated ampere-hours that years have left of it; 1 where absent. */
  capacityRatio?: number;
}

type Chemistry = BatteryPart['chemistry'];
/** Rest volts of a nominal 12 V at 0, 10, 20 ... 100 %. */
type RestTable = readonly number[];

/** Rest voltage published by the Battery Council International: 11.89, 12.06, 12.24, 12.45, 12.65. */
const LEAD_ACID: RestTable = [
  11.89, 11.958, 12.026, 12.096, 12.168, 12.24, 12.324, 12.408, 12.49, 12.57, 12.65,
];
/** Lithium iron phosphate: 2.5 V a cell when empty, a flat plateau; published charts differ by 0.1 V. */
const LITHIUM: RestTable = [10, 12.8, 12.98, 13.08, 13.14, 13.18, 13.22, 13.28, 13.32, 13.34, 13.5];

/** Ampere-hours kept of those put in: common practice 0.95 for sealed lead-acid, 0.99 for lithium. */
const CHARGE_EFFICIENCY: Readonly<Record<Chemistry, number>> = {
  flooded: 0.88,
  agm: 0.95,
  gel: 0.95,
  lifepo4: 0.99,
};

/** How hard a bank is to fill near its end: ohms x ampere-hours / nominal volts. */
const FILLING: Readonly<Record<Chemistry, number>> = {
  flooded: 0.16,
  agm: 0.14,
  gel: 0.16,
  lifepo4: 0.02,
};

const POLARISATION_SECONDS = 900;
const MONITOR_FULL = 0.99;
const within = (ratio: number): number => Math.min(1, Math.max(0, ratio));

export class BatteryBank {
  stateOfCharge: number;
  volts: number;
  /** Positive charging. */
  amps = 0;
  /** What its monitor counts, which was set to the plate: 0..1 of the rated ampere-hours. */
  countedCharge: number;
  readonly #part: Pick<BatteryPart, 'chemistry' | 'volts' | 'ampHours'>;
  readonly #ratedAmpHours: number;
  readonly #ohms: number;
  #polarisationVolts = 0;

  constructor(
    part: Pick<BatteryPart, 'chemistry' | 'volts' | 'ampHours'>,
    parameters: BatteryParameters,
  ) {
    const { capacityRatio = 1 } = parameters;
    this.#ratedAmpHours = part.ampHours;
    this.#part = { ...part, ampHours: part.ampHours * capacityRatio };
    this.countedCharge = 1 - (1 - parameters.stateOfCharge) * capacityRatio;
    this.#ohms = parameters.ohms;
    this.stateOfCharge = parameters.stateOfCharge;
    this.volts = this.restVolts;
  }

  /** Volts after hours of rest at the present charge. */
  get restVolts(): number {
    const table = this.#part.chemistry === 'lifepo4' ? LITHIUM : LEAD_ACID;
    const at = Math.min(1, Math.max(0, this.stateOfCharge)) * (table.length - 1);
    const below = Math.min(table.length - 2, Math.floor(at));
    const [low = 0, high = 0] = table.slice(below, below + 2);
    return (low + (high - low) * (at - below)) * (this.#part.volts / 12);
  }

  /** Amperes into the bank when its terminals are held at `volts`. */
  ampsAt(volts: number): number {
    const over = volts - this.restVolts - this.#polarisationVolts;
    return over / (over > 0 ? this.#ohms + this.#fillingOhms() : this.#ohms);
  }

  /** Takes `amps` at `volts` for a while. */
  advance(volts: number, amps: number, seconds: number): void {
    this.volts = volts;
    this.amps = amps;
    const kept = amps > 0 ? CHARGE_EFFICIENCY[this.#part.chemistry] : 1;
    const ampHours = (amps * kept * seconds) / 3600;
    this.stateOfCharge = within(this.stateOfCharge + ampHours / this.#part.ampHours);
    // A monitor sets itself to full with the bank; an aged one it takes for a new one.
    const counted = within(this.countedCharge + ampHours / this.#ratedAmpHours);
    this.countedCharge = this.stateOfCharge > MONITOR_FULL ? this.stateOfCharge : counted;
    const settles = Math.max(-0.5, Math.min(0.5, amps * this.#ohms));
    const share = 1 - Math.exp(-seconds / POLARISATION_SECONDS);
    this.#polarisationVolts += (settles - this.#polarisationVolts) * share;
  }

  #fillingOhms(): number {
    const { chemistry, volts, ampHours } = this.#part;
    return (FILLING[chemistry] * volts) / ampHours / (1 - this.stateOfCharge + 0.004);
  }
}
