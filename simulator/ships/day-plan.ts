/** A day of a boat's crew as a list of what they do when; each thing a little early or late. */
import type { PartId } from '../../rules/index.ts';
import type { TimedAction, VesselAction } from '../action.ts';
import type { Random } from '../random.ts';

/** Milliseconds since midnight of a clock time `07:20` or `07:20:30`. */
export function clockMs(clock: string): number {
  const match = /^([01]?\d|2[0-3]):([0-5]\d)(?::([0-5]\d))?$/.exec(clock);
  if (match === null) throw new Error(`no time of day: ${clock}`);
  const [, hours, minutes, seconds = 0] = match;
  return ((Number(hours) * 60 + Number(minutes)) * 60 + Number(seconds)) * 1000;
}

export class DayPlan {
  readonly #random: Random;
  readonly #actions: TimedAction<VesselAction>[] = [];

  constructor(random: Random) {
    this.#random = random;
  }

  /** At the clock time, up to `looseMinutes` early or late, on whole seconds. */
  at(clock: string, action: VesselAction, looseMinutes = 0): this {
    const loose = Math.round(this.#random.between(-looseMinutes, looseMinutes) * 60) * 1000;
    const atMs = Math.min(Math.max(0, clockMs(clock) + loose), clockMs('23:59:59'));
    this.#actions.push({ atMs, action });
    return this;
  }

  /** An appliance is used for some minutes. */
  use(clock: string, circuit: PartId, use: string, minutes: number, looseMinutes = 3): this {
    const seconds = minutes * 60 * this.#random.between(0.85, 1.15);
    return this.at(clock, { do: 'load', circuit, command: { use, seconds } }, looseMinutes);
  }

  drawWater(clock: string, circuit: PartId, litres: number, looseMinutes = 3): this {
    const drawLitres = litres * this.#random.between(0.8, 1.2);
    return this.at(clock, { do: 'load', circuit, command: { drawLitres } }, looseMinutes);
  }

  setWatts(clock: string, circuit: PartId, watts: number, looseMinutes = 10): this {
    return this.at(clock, { do: 'load', circuit, command: { watts } }, looseMinutes);
  }

  move(clock: string, part: PartId, to: 'closed' | 'open', looseMinutes = 0): this {
    return this.at(clock, { do: 'move switch', part, to }, looseMinutes);
  }

  inOrder(): TimedAction<VesselAction>[] {
    return this.#actions.toSorted((a, b) => a.atMs - b.atMs);
  }
}

/**
 * Whether what was done earlier in the day still stands later: where switches are and what runs,
 * but not a kettle that has long boiled.
 */
export function stillStands({ action }: TimedAction<VesselAction>): boolean {
  return action.do !== 'load' || 'watts' in action.command;
}
