/**
 * Whether a change fits through a bottleneck: what it carries now, less what is switched off, plus
 * what may come on by itself, plus what is added.
 */
import type { Boat, Circuit, PartId } from '../boat/boat.ts';
import { byId } from '../panel/lookup.ts';
import type { CircuitState, PanelState } from '../panel/panel-state.ts';
import type { Bottleneck } from './bottlenecks.ts';
import { reservedAmps } from './expected-load.ts';
import type { ExpectedLoad } from './expected-load.ts';

/** One load that is to come on. */
export interface Added {
  circuit: Circuit;
  load: ExpectedLoad;
  /** It comes on top of what its circuit draws; otherwise it takes the place of that. */
  isOnTop: boolean;
}

export interface Change {
  added: readonly Added[];
  off: ReadonlySet<PartId>;
}

/**
 * `rating`: the rating itself, less the margin. `hours`: what it may carry for three hours and more
 * (NEC 210.20(A)), for loads that may last so long. `start`: the instant of a motor's start.
 */
export type Limiting = 'rating' | 'hours' | 'start';

export interface Weighed {
  bottleneck: Bottleneck;
  limiting: Limiting;
  /** What it would carry, against which limit; in the bottleneck's unit. Null: not known. */
  carries: number | null;
  limit: number;
  /** Below 0: it does not fit. Null: not known. */
  slack: number | null;
  /** Circuits for which room is kept here. */
  reservedFor: PartId[];
}

const drawnNow = (panel: PanelState, id: PartId): number =>
  byId(panel.circuits, id)?.amps.value ?? 0;

/** What each circuit may add by itself, once for a whole plan. */
export type Reserves = readonly { circuit: Circuit; amps: number }[];

export function reservesOf(boat: Boat, panel: PanelState): Reserves {
  return boat.circuits.flatMap((circuit) => {
    const state: CircuitState | undefined = byId(panel.circuits, circuit.id);
    const amps = state ? reservedAmps(boat, circuit, state) : 0;
    return amps > 0 ? [{ circuit, amps }] : [];
  });
}

/** What every step of a plan looks at. */
export interface Planning {
  boat: Boat;
  panel: PanelState;
  reserves: Reserves;
}

/** The limit of this bottleneck that the change comes nearest to, or passes furthest. */
export function weigh(
  { boat, panel, reserves }: Planning,
  bottleneck: Bottleneck,
  { added, off }: Change,
): Weighed {
  const { shareOf, rated, now, marginRatio, continuousRatio, startRatio } = bottleneck;
  const comesOn = new Set(added.filter((one) => !one.isOnTop).map(({ circuit }) => circuit.id));
  const kept = reserves.filter(
    ({ circuit }) => !off.has(circuit.id) && !comesOn.has(circuit.id) && shareOf(circuit) > 0,
  );
  let steady = kept.reduce((sum, { circuit, amps }) => sum + amps * shareOf(circuit), 0);
  let short = 0;
  let start = 0;
  for (const { circuit, load, isOnTop } of added) {
    const instead = isOnTop ? 0 : drawnNow(panel, circuit.id);
    const amps = Math.max(0, load.amps - instead) * shareOf(circuit);
    if (load.isShort) short += amps;
    else steady += amps;
    start = Math.max(start, (load.startAmps - load.amps) * shareOf(circuit));
  }
  let freed = 0;
  for (const id of off) {
    const circuit = byId(boat.circuits, id);
    if (circuit) freed += drawnNow(panel, id) * shareOf(circuit);
  }
  const stays = now === null ? null : Math.max(0, now - freed) + steady;
  const limits: [Limiting, number | null, number][] = [
    ['rating', stays === null ? null : stays + short, rated * (1 - marginRatio)],
  ];
  // What is over in minutes makes no load of hours.
  if (continuousRatio < 1 && short === 0) {
    limits.push(['hours', stays, rated * continuousRatio]);
  }
  if (startRatio !== null && start > 0) {
    limits.push(['start', stays === null ? null : stays + short + start, rated * startRatio]);
  }
  const weighed = limits.map(([limiting, carries, limit]): Weighed => ({
    bottleneck,
    limiting,
    carries,
    limit,
    slack: carries === null ? null : limit - carries,
    reservedFor: kept.map(({ circuit }) => circuit.id),
  }));
  return weighed.reduce((worst, one) => (share(one) < share(worst) ? one : worst));
}

/** Slack as a share of the rating, so that limits in different units can be compared. */
export const share = ({ slack, bottleneck }: Weighed): number =>
  slack === null ? 0 : slack / bottleneck.rated;

/** Sums of decimal fractions may miss their limit by a hair. */
const HAIR = 1e-9;
export const passes = ({ slack }: Weighed): boolean => slack !== null && slack >= -HAIR;
export const fails = ({ slack }: Weighed): boolean => slack !== null && slack < -HAIR;
