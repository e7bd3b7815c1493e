/**
 * A self-contained marine air conditioner with the cabin it cools: thermostat, fan, compressor with
 * three minutes of rest between starts, and a high-pressure cut-out that opens within a minute when
 * no raw water carries the heat away, and tries again later.
 */
import type { Random } from '../../random.ts';
import { add } from '../complex.ts';
import type { Complex } from '../complex.ts';
import { Drift } from '../drift.ts';
import type { LoadCommand, Surroundings } from './load.ts';
import { PlainLoad } from './load.ts';
import { Motor } from './motor.ts';

export interface AirConditionerParameters {
  kind: 'air conditioner';
  /** Running current with compressor and fan, and of the fan alone. */
  ampsRunning: number;
  ampsFan: number;
  ampsStarting: number;
  /** Heat it carries out of the cabin. */
  coolingWatts: number;
  /** The cabin: leak through its walls, heat it holds, heat of people and of full sun. */
  wattsPerKelvin: number;
  joulesPerKelvin: number;
  wattsInside: number;
  wattsOfSun: number;
  /** Thermostat, and how far the cabin may rise above it. */
  celsiusSet: number;
  celsiusBand: number;
  /** Cabin at the start. */
  celsius: number;
  /** Switched on at its keypad at the start. */
  isOn: boolean;
}

/** Rest between stop and start of a compressor: common practice in the trade. */
const REST_SECONDS = 180;
/** The fan and the pump run so long before the compressor (each start its own), and after it. */
const LEAD_SECONDS_LEAST = 6;
const LEAD_SECONDS_MOST = 25;
const OVERRUN_SECONDS = 60;
/** Head pressure is a plain number here: 0.5 with water, 1 opens the cut-out. */
const PRESSURE_NORMAL = 0.5;
/** What weak water adds to it: at half the flow some 8 % more compressor current. */
const PRESSURE_OF_WEAK_WATER = 0.27;
const PRESSURE_RETRY = 0.62;

export class AirConditioner extends PlainLoad {
  readonly #parameters: AirConditionerParameters;
  readonly #nominalVolts: number;
  readonly #random: Random;
  readonly #compressor: Motor;
  readonly #fan: Motor;
  readonly #wander: Drift;
  #celsius: number;
  #isOn: boolean;
  #isCalling = false;
  #calledSeconds = 0;
  #leadSeconds = LEAD_SECONDS_MOST;
  #uncalledSeconds = OVERRUN_SECONDS;
  #restedSeconds = REST_SECONDS;
  #pressure = 0.4;
  #isCutOut = false;
  #secondsToCutOut = 45;

  constructor(parameters: AirConditionerParameters, volts: number, random: Random) {
    super();
    this.#parameters = parameters;
    this.#nominalVolts = volts;
    this.#random = random;
    this.#celsius = parameters.celsius;
    this.#isOn = parameters.isOn;
    this.#wander = new Drift(0.012, 120, random);
    this.#compressor = new Motor({
      volts,
      ampsRunning: parameters.ampsRunning - parameters.ampsFan,
      powerFactor: 0.93,
      ampsStarting: parameters.ampsStarting,
      secondsStarting: 0.3,
    });
    this.#fan = new Motor({
      volts,
      ampsRunning: parameters.ampsFan,
      powerFactor: 0.85,
      ampsStarting: parameters.ampsFan * 2,
      secondsStarting: 0.3,
    });
  }

  get cabinCelsius(): number {
    return this.#celsius;
  }

  get isCompressorRunning(): boolean {
    return this.#compressor.isTurning;
  }

  override get isStarting(): boolean {
    return this.#compressor.isStarting;
  }

  override get wantsCooling(): boolean {
    return this.#fan.isTurning;
  }

  advance(seconds: number, around: Surroundings): void {
    this.#wander.advance(seconds);
    this.#warmCabin(seconds, around);
    this.#press(seconds, around.hasCoolingWater, around.coolingFlowRatio);
    const isPowered = around.volts > 0.5 * this.#nominalVolts;
    if (!isPowered) this.#calledSeconds = 0;
    this.#callForCooling(seconds, isPowered);
    this.#fan.advance(seconds, around.volts, this.#uncalledSeconds < OVERRUN_SECONDS);
    this.#runCompressor(seconds, around);
  }

  admittance(volts: number): Complex {
    return add(this.#fan.admittance(volts), this.#compressor.admittance(volts));
  }

  override take(command: LoadCommand): void {
    if (!('turn' in command)) return super.take(command);
    this.#isOn = command.turn === 'on';
  }

  #warmCabin(seconds: number, around: Surroundings): void {
    const { wattsPerKelvin, joulesPerKelvin, wattsInside, wattsOfSun } = this.#parameters;
    const inward = wattsPerKelvin * (around.celsius - this.#celsius);
    const gained = wattsInside + wattsOfSun * around.sun;
    const carriedOut = this.#compressor.isRunning ? this.#parameters.coolingWatts : 0;
    this.#celsius += ((inward + gained - carriedOut) * seconds) / joulesPerKelvin;
  }

  #press(seconds: number, hasWater: boolean, flowRatio: number): void {
    const toward = (aim: number, time: number): void => {
      this.#pressure += (aim - this.#pressure) * (1 - Math.exp(-seconds / time));
    };
    if (!this.#compressor.isRunning) toward(0.4, hasWater ? 20 : 90);
    else if (hasWater) {
      toward(PRESSURE_NORMAL + PRESSURE_OF_WEAK_WATER * (1 - flowRatio), 15);
    } else this.#pressure += ((1 - PRESSURE_NORMAL) / this.#secondsToCutOut) * seconds;
    if (this.#pressure >= 1) this.#isCutOut = true;
    else if (this.#pressure < PRESSURE_RETRY) this.#isCutOut = false;
  }

  #callForCooling(seconds: number, isPowered: boolean): void {
    const { celsiusSet, celsiusBand } = this.#parameters;
    if (!this.#isOn || !isPowered || this.#celsius <= celsiusSet) this.#isCalling = false;
    else if (this.#celsius >= celsiusSet + celsiusBand) this.#isCalling = true;
    this.#calledSeconds = this.#isCalling ? this.#calledSeconds + seconds : 0;
    const isOverrunning = this.#isOn && isPowered;
    if (this.#isCalling) this.#uncalledSeconds = 0;
    else this.#uncalledSeconds = isOverrunning ? this.#uncalledSeconds + seconds : OVERRUN_SECONDS;
  }

  #runCompressor(seconds: number, around: Surroundings): void {
    const wasTurning = this.#compressor.isTurning;
    const isRested = wasTurning || this.#restedSeconds >= REST_SECONDS;
    const isWanted =
      this.#isCalling && !this.#isCutOut && isRested && this.#calledSeconds >= this.#leadSeconds;
    // Head pressure is what the compressor pushes against; warmer air loads the evaporator.
    const effort =
      1 +
      0.6 * Math.max(0, this.#pressure - PRESSURE_NORMAL) +
      0.008 * (around.celsius - 28) +
      this.#wander.value;
    this.#compressor.advance(seconds, around.volts, isWanted, effort);
    if (!this.#compressor.isTurning) this.#restedSeconds += seconds;
    if (wasTurning && !this.#compressor.isTurning) this.#restedSeconds = 0;
    if (!wasTurning && this.#compressor.isTurning) {
      this.#secondsToCutOut = this.#random.between(30, 60);
      this.#leadSeconds = this.#random.between(LEAD_SECONDS_LEAST, LEAD_SECONDS_MOST);
    }
  }
}
