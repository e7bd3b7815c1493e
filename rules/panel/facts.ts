/**
 * What the fresh readings say about the supply, as plain facts: this leg has voltage, that one has
 * none, here flows current, this switch reports its position. Positions are then those that no
 * fact contradicts. A stale reading is no fact.
 */
import type { Boat, Circuit, LegName } from '../boat/boat.ts';
import type { Latest } from './latest.ts';
import type { Live } from './panel-state.ts';
import { isRoot } from './supply.ts';
import type { Supply } from './supply.ts';

/** A claim about one leg of one supplied part. */
export interface LegFact {
  part: number;
  leg: LegName;
  claims: 'live' | 'dead';
  /** Such as `Climate bus has voltage`. */
  text: string;
}

/** Amperes of a root or bus leg, as bounds: `high` is null where something may be unmetered. */
export interface CurrentFact {
  part: number;
  leg: LegName;
  low: number;
  high: number | null;
}

export interface Facts {
  legs: LegFact[];
  /** Reported position by part number. */
  reported: Map<number, string>;
  /** Measured state of each root's legs; a leg that is not measured is absent. */
  roots: Map<number, Map<LegName, 'live' | 'dead'>>;
  currents: CurrentFact[];
  /** Roots that are measured dead on a leg that delivers current: a sensor is wrong. */
  impossible: { part: number; text: string }[];
}

/** Nominal volts of a part's legs. */
export function nominalVolts(boat: Boat, system: 'ac' | 'dc', batteryVolts?: number): number {
  if (system === 'dc') return batteryVolts ?? boat.dc?.volts ?? 12;
  return boat.ac?.volts ?? 230;
}

/** Live or dead by volts; unknown between the two limits, where it could be either. */
export function liveByVolts(boat: Boat, volts: number | null, nominal: number): Live {
  if (volts === null) return 'unknown';
  const ratio = Math.abs(volts) / nominal;
  if (ratio >= boat.limits.liveRatio) return 'live';
  return ratio < boat.limits.deadRatio ? 'dead' : 'unknown';
}

/** `leg` only where the part has more than one. */
const named = (label: string, leg: LegName, legs: readonly LegName[]): string =>
  legs.length > 1 ? `${label} leg ${leg}` : label;

/** Amperes that the circuits of a bus leg are measured to draw, a lower bound for the bus. */
function circuitAmps(circuits: readonly Circuit[], leg: LegName, latest: Latest, nowMs: number) {
  let low = 0;
  const drawing: Circuit[] = [];
  for (const circuit of circuits) {
    if (!circuit.legs.includes(leg)) continue;
    // One clamp on either leg of a two-leg load tells both.
    const amps = circuit.legs
      .map((own) => latest.number(circuit.id, 'amps', nowMs, own).value)
      .find((value) => value !== null);
    if (amps === undefined || amps === null || Math.abs(amps) <= circuit.drawingAmps) continue;
    low += Math.abs(amps);
    drawing.push(circuit);
  }
  return { low, drawing };
}

/** Collects the facts as of `nowMs`. */
export function collectFacts(boat: Boat, supply: Supply, latest: Latest, nowMs: number): Facts {
  const facts: Facts = {
    legs: [],
    reported: new Map(),
    roots: new Map(),
    currents: [],
    impossible: [],
  };
  const { drawingAmps } = boat.limits;
  supply.parts.forEach(({ part, legs }, number) => {
    if (part.part === 'selector' || part.part === 'main switch') {
      const word = latest.word(part.id, part.part === 'selector' ? 'position' : 'switch', nowMs);
      if (word !== null) facts.reported.set(number, word === 'tripped' ? 'open' : word);
    }
    const rootLegs = new Map<LegName, 'live' | 'dead'>();
    for (const leg of legs) {
      const nominal = nominalVolts(
        boat,
        part.system,
        part.part === 'battery' ? part.volts : undefined,
      );
      const volts = latest.number(part.id, 'volts', nowMs, leg).value;
      const live = liveByVolts(boat, volts, nominal);
      const amps = latest.number(part.id, 'amps', nowMs, leg).value;
      const isDrawing = amps !== null && Math.abs(amps) > drawingAmps;
      const name = named(part.label, leg, legs);
      if (isRoot(part)) {
        if (live !== 'unknown') rootLegs.set(leg, live);
        if (amps !== null && part.part === 'source') {
          facts.currents.push({ part: number, leg, low: Math.abs(amps), high: Math.abs(amps) });
          if (live === 'dead' && isDrawing) {
            facts.impossible.push({
              part: number,
              text: `${name} is measured to deliver current without voltage.`,
            });
          }
        }
        continue;
      }
      if (live === 'live') {
        facts.legs.push({ part: number, leg, claims: 'live', text: `${name} has voltage` });
      } else if (live === 'dead') {
        facts.legs.push({ part: number, leg, claims: 'dead', text: `${name} reads no voltage` });
      }
      if (isDrawing) {
        facts.legs.push({ part: number, leg, claims: 'live', text: `${name} draws current` });
      }
      if (part.part !== 'bus') continue;
      const circuits = boat.circuits.filter((circuit) => circuit.bus === part.id);
      const { low, drawing } = circuitAmps(circuits, leg, latest, nowMs);
      for (const circuit of drawing) {
        const text = `${circuit.label} draws current`;
        facts.legs.push({ part: number, leg, claims: 'live', text });
      }
      const own = amps === null ? null : Math.abs(amps);
      facts.currents.push({ part: number, leg, low: own ?? low, high: own });
    }
    if (rootLegs.size > 0) facts.roots.set(number, rootLegs);
  });
  return facts;
}

/** Two sets of facts with the same key allow the same positions, currents aside. */
export function factsKey(facts: Facts): string {
  const legs = facts.legs.map((fact) => `${fact.part}${fact.leg}${fact.text}`);
  const reported = [...facts.reported].map(([part, name]) => `${part}=${name}`);
  const roots = [...facts.roots].map(
    ([part, own]) => `${part}:${[...own].map(([leg, live]) => `${leg}${live}`).join()}`,
  );
  return `${legs.join('|')}#${reported.join('|')}#${roots.join('|')}`;
}
