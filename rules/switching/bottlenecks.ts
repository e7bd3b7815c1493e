/**
 * Where a load can meet a limit on its way from the source: its own breaker, its bus, main switches
 * with a breaker, the source leg by leg and as a whole. For each: its rating, what it carries now
 * and which circuits it carries.
 */
import type { Boat, BreakerKind, Bus, Circuit, LegName, PartId, Source } from '../boat/boat.ts';
import { continuousRatioOf } from '../electrical/index.ts';
import { byId, circuitsOn } from '../panel/lookup.ts';
import type { LegState, PanelState } from '../panel/panel-state.ts';
import type { SupplyPath } from './supply-path.ts';

export interface Bottleneck {
  part: PartId;
  label: string;
  /** Null: all its legs together, and then `unit` is a power. */
  leg: LegName | null;
  unit: 'A' | 'kVA' | 'kW';
  rated: number;
  /** Share of the rating for loads of hours. */
  continuousRatio: number;
  /** Share of the rating that is kept free. */
  marginRatio: number;
  /** Times its rating for an instant; null: a start of what it carries does not matter to it. */
  startRatio: number | null;
  now: number | null;
  /** What one ampere on each leg of a circuit comes to here; 0: it does not pass here. */
  shareOf: (circuit: Circuit) => number;
}

/**
 * Lower end of the magnetic band of IEC 60898-1; UL 489 and fuses promise nothing, so they count as
 * the most sensitive type does.
 */
const INSTANT_RATIOS: Record<BreakerKind, number> = {
  'IEC B': 3,
  'IEC C': 5,
  'IEC D': 10,
  'UL 489': 3,
  fuse: 3,
};
/** The dock's breaker may be of any type. */
const DOCK_INSTANT_RATIO = INSTANT_RATIOS['IEC B'];

const continuousOf = (boat: Boat, kind: BreakerKind): number =>
  continuousRatioOf(kind) < 1 ? boat.limits.continuousRatio : 1;

const onLeg =
  (leg: LegName, circuits: ReadonlySet<PartId>) =>
  (circuit: Circuit): number =>
    circuits.has(circuit.id) && circuit.legs.includes(leg) ? 1 : 0;

/** A circuit's own load is what it was built for; what people plug in must leave a margin. */
export function ownBreaker(
  boat: Boat,
  circuit: Circuit,
  now: number | null,
  isPluggedIn: boolean,
): Bottleneck {
  const { breaker, id, label, legs } = circuit;
  return {
    part: id,
    label,
    leg: legs[0] ?? null,
    unit: 'A',
    rated: breaker.ampsRated,
    continuousRatio: isPluggedIn ? continuousOf(boat, breaker.kind) : 1,
    marginRatio: isPluggedIn ? boat.limits.planMarginRatio : 0,
    startRatio: null,
    now,
    shareOf: (other) => (other.id === id ? 1 : 0),
  };
}

/** Every limit above a bus. */
export function bottlenecksAbove(boat: Boat, panel: PanelState, path: SupplyPath): Bottleneck[] {
  const found = path.buses.flatMap((bus) => ofBus(boat, panel, bus));
  for (const { main, below } of path.mains) {
    if (!main.breaker) continue;
    const state = below ? byId(panel.buses, below.id) : byId(panel.sources, path.source?.id ?? '');
    // Without a bus right below it carries no more than the whole source does.
    const circuits = below ? [below.id] : fedBuses(panel, path.source?.id ?? '');
    const { ampsRated, kind } = main.breaker;
    const limits = { continuousRatio: continuousOf(boat, kind), startRatio: INSTANT_RATIOS[kind] };
    const carried = state?.legs ?? [];
    found.push(...perLeg(boat, main, ampsRated, carried, circuitIds(boat, circuits), limits));
  }
  return path.source ? [...found, ...ofSource(boat, panel, path.source)] : found;
}

/** Every limit of a source itself: its legs, and its power as a whole where that is rated. */
export function ofSource(boat: Boat, panel: PanelState, source: Source): Bottleneck[] {
  const state = byId(panel.sources, source.id);
  if (!state) return [];
  const isShore = source.kind === 'shore inlet';
  const hasContinuousLimit = isShore && boat.ac?.hertz === 60;
  const circuits = circuitIds(boat, fedBuses(panel, source.id));
  const limits = {
    continuousRatio: hasContinuousLimit ? boat.limits.continuousRatio : 1,
    startRatio: isShore ? DOCK_INSTANT_RATIO : boat.limits.planStartRatio,
  };
  const legs = perLeg(boat, source, source.ampsRated, state.legs, circuits, limits);
  const volts = boat.ac?.volts;
  if (isShore || volts === undefined || !('wattsRated' in source)) return legs;
  const kiloVoltAmps = volts / 1000;
  const total: Omit<Bottleneck, 'unit' | 'rated' | 'now'> = {
    part: source.id,
    label: source.label,
    leg: null,
    marginRatio: boat.limits.planMarginRatio,
    ...limits,
    shareOf: (circuit) => (circuits.has(circuit.id) ? circuit.legs.length * kiloVoltAmps : 0),
  };
  const amps = state.legs.map((leg) => leg.amps.value);
  const now = amps.includes(null) ? null : amps.reduce<number>((a, b) => a + (b ?? 0), 0);
  if (source.kind === 'generator') {
    const apparent = now === null ? null : now * kiloVoltAmps;
    legs.push({ ...total, unit: 'kVA', rated: source.voltAmpsRated / 1000, now: apparent });
  }
  const watts = state.watts.value ?? (now === null ? null : now * volts);
  legs.push({
    ...total,
    unit: 'kW',
    rated: source.wattsRated / 1000,
    now: watts === null ? null : watts / 1000,
  });
  return legs;
}

/** Buses that it feeds, or may feed because what feeds them is not known. */
function fedBuses(panel: PanelState, source: PartId): PartId[] {
  const system = byId(panel.sources, source)?.system;
  return panel.buses
    .filter(({ fedBy, fedByIsKnown }) => fedBy === source || !fedByIsKnown)
    .filter((bus) => bus.system === system && bus.legs.some(({ live }) => live !== 'dead'))
    .map(({ id }) => id);
}

const circuitIds = (boat: Boat, buses: readonly PartId[]): ReadonlySet<PartId> =>
  new Set(buses.flatMap((bus) => circuitsOn(boat, bus).map(({ id }) => id)));

function ofBus(boat: Boat, panel: PanelState, bus: Bus): Bottleneck[] {
  const state = byId(panel.buses, bus.id);
  if (!state || bus.ampsRated === undefined) return [];
  const limits = { continuousRatio: 1, startRatio: null };
  return perLeg(boat, bus, bus.ampsRated, state.legs, circuitIds(boat, [bus.id]), limits);
}

function perLeg(
  boat: Boat,
  part: { id: PartId; label: string },
  rated: number,
  legs: readonly LegState[],
  circuits: ReadonlySet<PartId>,
  limits: Pick<Bottleneck, 'continuousRatio' | 'startRatio'>,
): Bottleneck[] {
  return legs.map(({ leg, amps }) => ({
    part: part.id,
    label: part.label,
    leg,
    unit: 'A',
    rated,
    marginRatio: boat.limits.planMarginRatio,
    ...limits,
    now: amps.value,
    shareOf: onLeg(leg, circuits),
  }));
}
