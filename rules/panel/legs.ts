/**
 * Volts, amperes, watts, load and headroom of the legs of sources and buses, and what no circuit's
 * own meter explains. Sums of RMS amperes take no account of phase angle, so they are at or above
 * the true current: they err on the side of warning.
 */
import type { Boat, Bus, Circuit, LegName, PartId, Source } from '../boat/boat.ts';
import type { Conclusion } from './conclusions.ts';
import { derive, firstKnown, headroom, later, ratio, sum } from './known.ts';
import { UNKNOWN } from './latest.ts';
import { circuitsOn } from './lookup.ts';
import type { Latest } from './latest.ts';
import type { Known, LegState, Live } from './panel-state.ts';

const magnitude = (known: Known): Known =>
  known.value === null ? known : { ...known, value: Math.abs(known.value) };

/** Measured watts of a leg, else volts x amps: an upper bound where the power factor is unknown. */
function legWatts(
  latest: Latest,
  part: PartId,
  leg: LegName,
  nowMs: number,
  known: Known[],
): Known {
  const measured = latest.number(part, 'watts', nowMs, leg);
  const factor = latest.number(part, 'powerFactor', nowMs, leg);
  const parts = factor.value === null ? known : [...known, factor];
  return firstKnown(
    measured,
    derive(parts, (...values) => values.reduce((a, b) => a * b, 1), 'inferred'),
  );
}

interface LegInputs {
  latest: Latest;
  nowMs: number;
  part: PartId;
  leg: LegName;
  live: Live;
  ampsRated: number | null;
  /** Current found another way, used where the leg has no clamp of its own. */
  otherAmps: Known;
}

function legState({ latest, nowMs, part, leg, live, ampsRated, otherAmps }: LegInputs): LegState {
  const volts = latest.number(part, 'volts', nowMs, leg);
  const amps = firstKnown(magnitude(latest.number(part, 'amps', nowMs, leg)), otherAmps);
  return {
    leg,
    live,
    volts,
    amps,
    watts: legWatts(latest, part, leg, nowMs, [volts, amps]),
    ampsRated,
    loadRatio: ratio(amps, ampsRated),
    headroomAmps: headroom(amps, ampsRated),
  };
}

/** The same leg `byMs` later, if nothing it rests on has changed since. */
export const legLater = (leg: LegState, byMs: number): LegState => ({
  ...leg,
  volts: later(leg.volts, byMs),
  amps: later(leg.amps, byMs),
  watts: later(leg.watts, byMs),
  loadRatio: later(leg.loadRatio, byMs),
  headroomAmps: later(leg.headroomAmps, byMs),
});

/** Magnitude of a circuit's current: by its clamp on any leg, else from its watts. */
export function circuitAmps(latest: Latest, circuit: Circuit, volts: number, nowMs: number): Known {
  const measured = circuit.legs.map((leg) =>
    magnitude(latest.number(circuit.id, 'amps', nowMs, leg)),
  );
  const watts = circuitWatts(latest, circuit, nowMs);
  const fromWatts = derive([watts], (w) => w / (volts * circuit.legs.length), 'inferred');
  return firstKnown(measured[0] ?? UNKNOWN, ...measured.slice(1), fromWatts);
}

/** Measured watts of a circuit, all legs together; unknown where they are not measured. */
export function circuitWatts(latest: Latest, circuit: Circuit, nowMs: number): Known {
  const measured = circuit.legs
    .map((leg) => latest.number(circuit.id, 'watts', nowMs, leg))
    .filter((known) => known.value !== null || known.lastValue !== undefined);
  return measured.length === 0 ? UNKNOWN : sum(measured);
}

/** Legs of a bus. Where the bus has no clamp, its current is the sum of its circuits if all are metered. */
export function busLegs(
  boat: Boat,
  latest: Latest,
  bus: Bus,
  conclusion: Conclusion | undefined,
  ampsOf: ReadonlyMap<PartId, Known>,
  nowMs: number,
): LegState[] {
  return bus.legs.map((leg) => {
    const circuits = circuitsOn(boat, bus.id).filter((own) => own.legs.includes(leg));
    return legState({
      latest,
      nowMs,
      part: bus.id,
      leg,
      live: conclusion?.live.get(leg) ?? 'unknown',
      ampsRated: bus.ampsRated ?? null,
      otherAmps: sum(
        circuits.map((circuit) => ampsOf.get(circuit.id) ?? UNKNOWN),
        'inferred',
      ),
    });
  });
}

/** Legs of a source. Without a clamp its current is that of the buses it is known to feed. */
export function sourceLegs(
  latest: Latest,
  source: Source,
  conclusion: Conclusion | undefined,
  fedLegs: readonly LegState[] | null,
  nowMs: number,
): LegState[] {
  return source.legs.map((leg) => {
    const fed = fedLegs?.filter((own) => own.leg === leg).map((own) => own.amps) ?? [];
    return legState({
      latest,
      nowMs,
      part: source.id,
      leg,
      live: conclusion?.live.get(leg) ?? 'unknown',
      ampsRated: source.ampsRated,
      otherAmps: sum(fed, 'inferred'),
    });
  });
}

/** Differences below this share of the bus current, or 0.5 A, are within the clamps' own error. */
const CLAMP_ERROR_RATIO = 0.04;
const CLAMP_ERROR_AMPS = 0.5;

/**
 * Amperes of a bus leg that no circuit's clamp explains: circuits without a clamp, and whatever
 * else hangs on the bus. Unknown unless the bus has its own fresh clamp and every clamp below it
 * is fresh; zero when the difference is within the clamps' error.
 */
export function unmeteredAmps(
  boat: Boat,
  latest: Latest,
  bus: Bus,
  state: LegState,
  ampsOf: ReadonlyMap<PartId, Known>,
  nowMs: number,
): Known {
  const own = magnitude(latest.number(bus.id, 'amps', nowMs, state.leg));
  const metered = circuitsOn(boat, bus.id)
    .filter((circuit) => circuit.legs.includes(state.leg))
    .filter((circuit) => hasMeter(latest, circuit))
    .map((circuit) => ampsOf.get(circuit.id) ?? UNKNOWN);
  return derive(
    [own, ...metered],
    (total, ...parts) => {
      const rest = total - parts.reduce((a, b) => a + b, 0);
      const error = Math.max(CLAMP_ERROR_AMPS, total * CLAMP_ERROR_RATIO);
      return rest <= error ? 0 : rest;
    },
    'inferred',
  );
}

const hasMeter = (latest: Latest, circuit: Circuit): boolean =>
  circuit.legs.some(
    (leg) => latest.point(circuit.id, 'amps', leg) ?? latest.point(circuit.id, 'watts', leg),
  );
