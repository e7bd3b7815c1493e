/**
 * The boat's direct current at one instant: each battery with what charges it and what it feeds.
 * The battery's volts are those at which everything that flows in and out of it adds up to nothing.
 */
import type { Battery, Boat, Circuit, PartId } from '../../rules/index.ts';
import type { BatteryBank } from './battery.ts';
import type { BatteryCharger } from './loads/battery-charger.ts';
import type { Load } from './loads/load.ts';
import type { SolarArray } from './solar.ts';
import type { Switches } from './switches.ts';

export interface DcFlow {
  volts: number;
  amps: number;
}

/** What is permanently joined to a battery's terminals. */
export interface AtBattery {
  part: Battery;
  bank: BatteryBank;
  chargers: readonly BatteryCharger[];
  solar: readonly { id: PartId; array: SolarArray }[];
  inverters: readonly { readonly batteryWatts: number }[];
}

interface DcBus {
  id: PartId;
  circuits: readonly { circuit: Circuit; load: Load }[];
  through: readonly PartId[];
  top: PartId | null;
}

/** Of one contact or fuse holder with its share of cable. */
const CONTACT_OHMS = 0.0015;
/** A charger gives its all until this close below the volts it holds, at 12 V. */
const SOFTNESS_VOLTS = 0.04;
const HALVINGS = 24;

export class DcNetwork {
  readonly atBus = new Map<PartId, DcFlow>();
  readonly atSwitch = new Map<PartId, DcFlow>();
  readonly atCircuit = new Map<PartId, DcFlow>();
  readonly atSolar = new Map<PartId, DcFlow>();
  readonly #batteries: readonly AtBattery[];
  readonly #buses: DcBus[] = [];
  readonly #switches: Switches;

  constructor(
    boat: Boat,
    batteries: readonly AtBattery[],
    loads: ReadonlyMap<PartId, Load>,
    switches: Switches,
  ) {
    this.#batteries = batteries;
    this.#switches = switches;
    for (const bus of boat.buses) {
      if (bus.system !== 'dc') continue;
      const circuits = boat.circuits.flatMap((circuit) => {
        const load = circuit.bus === bus.id ? loads.get(circuit.id) : undefined;
        return load === undefined ? [] : [{ circuit, load }];
      });
      this.#buses.push({ id: bus.id, circuits, through: [], top: null });
    }
  }

  solve(): void {
    for (const bus of this.#buses) Object.assign(bus, this.#switches.wayTo(bus.id));
    for (const bus of this.#buses) this.#fillBus(bus, 0);
    for (const battery of this.#batteries) this.#solveBattery(battery);
  }

  #solveBattery(battery: AtBattery): void {
    const { bank, part } = battery;
    const buses = this.#buses.filter((bus) => bus.top === part.id);
    const surplus = (volts: number): number =>
      this.#ampsIn(battery, volts) - this.#ampsOut(battery, buses, volts) - bank.ampsAt(volts);
    const volts = fallingZero(surplus, bank.volts, part.volts);
    const out = this.#ampsOut(battery, buses, volts);
    for (const charger of battery.chargers) {
      charger.delivers(volts * this.#chargerAmps(charger, part, volts));
    }
    for (const { id, array } of battery.solar) {
      this.atSolar.set(id, { volts, amps: this.#solarAmps(array, part, volts) });
    }
    bank.volts = volts;
    bank.amps = this.#ampsIn(battery, volts) - out;
  }

  #ampsIn(battery: AtBattery, volts: number): number {
    let sum = 0;
    for (const charger of battery.chargers) sum += this.#chargerAmps(charger, battery.part, volts);
    for (const { array } of battery.solar) sum += this.#solarAmps(array, battery.part, volts);
    return sum;
  }

  #ampsOut(battery: AtBattery, buses: readonly DcBus[], volts: number): number {
    let sum = 0;
    for (const bus of buses) sum += this.#fillBus(bus, volts);
    for (const inverter of battery.inverters) sum += inverter.batteryWatts / Math.max(1, volts);
    return sum;
  }

  #chargerAmps(charger: BatteryCharger, part: Battery, volts: number): number {
    return share(charger.charging.voltsWanted, volts, part) * charger.ampsMost;
  }

  #solarAmps(array: SolarArray, part: Battery, volts: number): number {
    return share(array.charging.voltsWanted, volts, part) * array.ampsAvailable(volts);
  }

  /** Sets the bus and its circuits for these volts at its battery; gives back what it draws. */
  #fillBus(bus: DcBus, batteryVolts: number): number {
    const before = this.atBus.get(bus.id)?.amps ?? 0;
    const volts = batteryVolts - before * CONTACT_OHMS * bus.through.length;
    let sum = 0;
    for (const { circuit, load } of bus.circuits) {
      const isClosed = this.#switches.contactOf(circuit.id) === 'closed';
      const amps = isClosed ? load.admittance(volts).re * volts : 0;
      this.atCircuit.set(circuit.id, { volts: isClosed ? volts : 0, amps });
      sum += amps;
    }
    this.atBus.set(bus.id, { volts, amps: sum });
    for (const id of bus.through) this.atSwitch.set(id, { volts, amps: sum });
    return sum;
  }
}

/** 1 well below the volts a charger holds, 0 at or above them. */
function share(voltsWanted: number, volts: number, part: Battery): number {
  const softness = (SOFTNESS_VOLTS * part.volts) / 12;
  return Math.min(1, Math.max(0, (voltsWanted - volts) / softness));
}

/** Where a function that falls with volts crosses zero, by halving; starts near `guess`. */
function fallingZero(of: (volts: number) => number, guess: number, nominal: number): number {
  let low = guess - 0.02 * nominal;
  let high = guess + 0.02 * nominal;
  if (of(low) < 0) low = 0.1 * nominal;
  if (of(high) > 0) high = 1.6 * nominal;
  for (let round = 0; round < HALVINGS; round += 1) {
    const middle = (low + high) / 2;
    if (of(middle) > 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
