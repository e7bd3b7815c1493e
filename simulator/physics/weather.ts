/** Air temperature and sunshine over the day, and how hard the dock's other boats pull. */
import type { Random } from '../random.ts';
import { Drift } from './drift.ts';

export interface WeatherParameters {
  /** Coldest and warmest of the day, degrees Celsius, at 03:00 and 15:00 or so. */
  celsiusLow: number;
  celsiusHigh: number;
  sunriseHour: number;
  sunsetHour: number;
  /** Share of the sun that clouds take on average, 0..1. */
  cloudRatio: number;
}

export class Weather {
  readonly #parameters: WeatherParameters;
  readonly #clouds: Drift;
  readonly #air: Drift;
  /** Hour of day, 0..24. */
  hour = 0;
  celsius = 0;
  /** Sunshine against the strongest of a clear day, 0..1. */
  sun = 0;

  constructor(parameters: WeatherParameters, random: Random) {
    this.#parameters = parameters;
    this.#clouds = new Drift(0.15, 900, random);
    this.#air = new Drift(0.4, 3600, random);
  }

  /** `hour` is the hour of day after `seconds` have passed. */
  advance(hour: number, seconds: number): void {
    const { celsiusLow, celsiusHigh, sunriseHour, sunsetHour, cloudRatio } = this.#parameters;
    this.#clouds.advance(seconds);
    this.#air.advance(seconds);
    this.hour = hour;
    const middle = (celsiusLow + celsiusHigh) / 2;
    const swing = (celsiusHigh - celsiusLow) / 2;
    this.celsius = middle + swing * Math.cos(((hour - 15) / 24) * 2 * Math.PI) + this.#air.value;
    const height = Math.sin((Math.PI * (hour - sunriseHour)) / (sunsetHour - sunriseHour));
    const clear = hour > sunriseHour && hour < sunsetHour ? Math.max(0, height) ** 1.2 : 0;
    this.sun = clear * Math.min(1, Math.max(0.1, 1 - cloudRatio + this.#clouds.value));
  }
}

/** How busy the dock is, 0..1: breakfast, and the hot end of the afternoon. */
export function dockUse(hour: number): number {
  const hump = (at: number, width: number, height: number): number =>
    height * Math.exp(-(((hour - at) / width) ** 2));
  return Math.min(1, hump(7.5, 1.5, 0.45) + hump(17.5, 3.5, 1));
}
