/** What happens when: the scenario's script and the crew's days, merged in order of time. */
import type { Action, TimedAction, VesselAction } from './action.ts';
import { createRandom } from './random.ts';
import type { Scenario } from './scenarios/scenario.ts';
import { stillStands } from './ships/day-plan.ts';
import type { Ship } from './ships/ship.ts';

const DAY_MS = 86_400_000;

export interface TimetableStart {
  /** Time of day at the scenario's zero. */
  startMs: number;
  /** Where scenario time begins: at or before zero. */
  nowMs: number;
  seed: number;
}

export class Timetable {
  /** What the crew did earlier in the day and left so. */
  readonly standing: readonly VesselAction[];
  readonly #ship: Ship;
  readonly #crew: Scenario['crew'];
  readonly #start: TimetableStart;
  #script: readonly TimedAction[];
  #today: TimedAction[] = [];
  #nextDay: number;

  constructor(ship: Ship, scenario: Scenario, start: TimetableStart) {
    this.#ship = ship;
    this.#crew = scenario.crew;
    this.#start = start;
    this.#script = scenario.script.toSorted((a, b) => a.atMs - b.atMs);
    this.#nextDay = Math.floor((start.startMs + start.nowMs) / DAY_MS);
    const firstDay = this.#crewDay();
    this.standing = firstDay
      .filter((timed) => timed.atMs < start.nowMs && stillStands(timed))
      .map(({ action }) => action);
    this.#today = firstDay.filter(({ atMs }) => atMs >= start.nowMs);
  }

  /** Everything up to and including `nowMs`, each once, in order of time. */
  takeDue(nowMs: number): Action[] {
    while (this.#crew !== 'away' && this.#dayStartMs(this.#nextDay) <= nowMs) {
      this.#today.push(...this.#crewDay());
    }
    const isDue = ({ atMs }: TimedAction): boolean => atMs <= nowMs;
    if (![this.#script[0], this.#today[0]].some((first) => first !== undefined && isDue(first))) {
      return [];
    }
    const due = [...this.#script, ...this.#today].filter(isDue);
    this.#script = this.#script.filter((timed) => !isDue(timed));
    this.#today = this.#today.filter((timed) => !isDue(timed));
    return due.toSorted((a, b) => a.atMs - b.atMs).map(({ action }) => action);
  }

  #dayStartMs(day: number): number {
    return day * DAY_MS - this.#start.startMs;
  }

  /** The next day of the crew, in scenario time. */
  #crewDay(): TimedAction<VesselAction>[] {
    if (this.#crew === 'away') return [];
    const day = this.#nextDay;
    this.#nextDay += 1;
    const random = createRandom(this.#start.seed, 'crew', String(day));
    return this.#ship
      .routine(random, this.#crew)
      .map(({ atMs, action }) => ({ atMs: atMs + this.#dayStartMs(day), action }));
  }
}
