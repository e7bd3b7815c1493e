/**
 * What a circuit draws once it runs, what it draws at its start, and whether it may come on without
 * anybody's doing. Where there is doubt, more rather than less.
 */
import type { Appliance, Boat, Circuit } from '../boat/boat.ts';
import type { CircuitState } from '../panel/panel-state.ts';
import type { LoadFrom } from './plan.ts';

export interface ExpectedLoad {
  /** On each of its legs, amperes. */
  amps: number;
  startAmps: number;
  from: LoadFrom;
  /** So short that it is no continuous load. */
  isShort: boolean;
}

/** Below this share of a day that was seen, nobody can say that a circuit did not run. */
const DAY_SEEN_RATIO = 0.5;

/**
 * The larger of what was learned and what the boat file says; for outlets without either, and for
 * loads that are never the same, all that the breaker lets through.
 */
export function expectedLoad(boat: Boat, circuit: Circuit, state: CircuitState): ExpectedLoad {
  const given = circuit.ampsRunning ?? 0;
  // What people plug in is not what they plugged in yesterday.
  const isTheSame = circuit.load !== 'mixed' && circuit.load !== 'electronics';
  const learned = isTheSame ? (state.habits.runningAmps ?? 0) : 0;
  const known = Math.max(given, learned);
  const amps = known > 0 ? known : circuit.breaker.ampsRated;
  const from: LoadFrom = known === 0 ? 'breaker' : learned > given ? 'learned' : 'boat file';
  const isMotor = circuit.load === 'motor' && known > 0;
  const startAmps = isMotor
    ? Math.max(state.habits.startPeakAmps ?? 0, boat.limits.planMotorStartRatio * amps)
    : Math.max(state.habits.startPeakAmps ?? 0, amps);
  return { amps, startAmps, from, isShort: false };
}

/** An appliance comes on top of whatever its circuit draws already. */
export function applianceLoad(boat: Boat, appliance: Appliance): ExpectedLoad {
  const { ampsRunning, minutesOn } = appliance;
  const isShort = minutesOn !== undefined && minutesOn < boat.limits.continuousHours * 60;
  return { amps: ampsRunning, startAmps: ampsRunning, from: 'boat file', isShort };
}

/** At work, or about to be. */
export const isAtWork = ({ habits: { phase } }: CircuitState): boolean =>
  phase === 'running' || phase === 'starting';

const startsByItself = ({ startsByItself: said, load }: Circuit): boolean =>
  said ?? (load === 'motor' || load === 'resistive' || load === 'charger');

/**
 * Whether it may come on by itself: a thermostat that rests, a float, a charger. One that did not
 * run for a day is taken to be off, unless it should be on or the day was hardly seen.
 */
export function mayStart(circuit: Circuit, state: CircuitState): boolean {
  if (isAtWork(state) || !startsByItself(circuit)) return false;
  // A charger that idles gives its bank what it asks for; only after a pause does it begin anew.
  if (state.habits.phase === 'idle') return circuit.load !== 'charger';
  if (circuit.standingOrder === 'out of service' || circuit.standingOrder === 'leave off') {
    return false;
  }
  if (circuit.standingOrder === 'should be on' || circuit.duty !== undefined) return true;
  const { runMinutes, starts, coverageRatio } = state.habits.lastDay;
  return runMinutes > 0 || starts > 0 || coverageRatio < DAY_SEEN_RATIO;
}

/** Amperes on each leg that it may add by itself to what it draws now; 0 where it will not. */
export function reservedAmps(boat: Boat, circuit: Circuit, state: CircuitState): number {
  if (!mayStart(circuit, state)) return 0;
  return Math.max(0, expectedLoad(boat, circuit, state).amps - (state.amps.value ?? 0));
}
