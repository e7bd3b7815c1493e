/** What a circuit draws, whether its bus can feed it, and how near it is to its breaker's rating. */
import type { Circuit } from '../boat/boat.ts';
import { circuitHabits } from './circuit-habits.ts';
import type { Instant } from './instant.ts';
import { derive, firstKnown, headroom, later, ratio, sum } from './known.ts';
import { UNKNOWN } from './latest.ts';
import { circuitWatts } from './legs.ts';
import type { Activity, BusState, CircuitState, Known, Live } from './panel-state.ts';
import { activeSince, forgetActivity } from './past.ts';

/** `bus`: the state of the bus it hangs on; `amps`: its own current. */
export function circuitState(
  { boat, latest, hanging, past, nowMs }: Instant,
  circuit: Circuit,
  bus: BusState | undefined,
  amps: Known,
): CircuitState {
  const isHidden = hanging.hides(circuit, nowMs);
  if (isHidden) forgetActivity(past, circuit.id);
  const seen = isHidden ? UNKNOWN : amps;
  const activity = activityOf(seen, circuit.drawingAmps);
  const { breaker } = circuit;
  const legs = bus?.legs.filter((leg) => circuit.legs.includes(leg.leg)) ?? [];
  const volts = sum(legs.map((leg) => leg.volts));
  return {
    id: circuit.id,
    label: circuit.label,
    system: circuit.system,
    position: circuit.position ?? null,
    bus: circuit.bus,
    legs: circuit.legs,
    live: together(legs.map((leg) => leg.live)),
    activity,
    activeSinceMs: activeSince(past, circuit.id, activity, nowMs),
    habits: circuitHabits((past.habits ??= {}), boat, circuit, seen, nowMs),
    amps,
    watts: firstKnown(
      circuitWatts(latest, circuit, nowMs),
      derive([volts, amps], (v, a) => v * a, 'inferred'),
    ),
    breaker: { ampsRated: breaker.ampsRated, kind: breaker.kind },
    loadRatio: ratio(amps, breaker.ampsRated),
    headroomAmps: headroom(amps, breaker.ampsRated),
    load: circuit.load,
    requires: circuit.requires,
    excludes: circuit.excludes,
    standingOrder: circuit.standingOrder ?? null,
    note: circuit.note ?? null,
  };
}

/**
 * The same circuit `byMs` later, if nothing it rests on has changed since. Its habits go on with
 * time: the last hour is another one now.
 */
export function circuitLater(
  { boat, past, nowMs }: Instant,
  circuit: Circuit,
  state: CircuitState,
  amps: Known,
  byMs: number,
): CircuitState {
  // Setting what differs on a copy takes a fraction of the time of naming it beside a spread.
  const older = { ...state };
  const seen = state.activity === 'unknown' ? UNKNOWN : amps;
  older.habits = circuitHabits((past.habits ??= {}), boat, circuit, seen, nowMs);
  older.amps = amps;
  older.watts = later(state.watts, byMs);
  older.loadRatio = later(state.loadRatio, byMs);
  older.headroomAmps = later(state.headroomAmps, byMs);
  return older;
}

function activityOf(amps: Known, drawingAmps: number): Activity {
  if (amps.value === null) return 'unknown';
  return amps.value > drawingAmps ? 'drawing' : 'not drawing';
}

/** A load across two legs is live only if both are. */
function together(states: readonly Live[]): Live {
  if (states.length === 0 || states.includes('unknown')) return 'unknown';
  return states.every((state) => state === 'live') ? 'live' : 'dead';
}
