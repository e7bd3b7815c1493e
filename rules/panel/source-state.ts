/** What a source delivers, how near that is to its rating, and which buses it feeds. */
import type { Source } from '../boat/boat.ts';
import { conclusionOf, numberOf } from './instant.ts';
import type { Instant } from './instant.ts';
import { derive, later, ratio, sum } from './known.ts';
import { UNKNOWN } from './latest.ts';
import { legLater, sourceLegs } from './legs.ts';
import { byId } from './lookup.ts';
import type { BusState, Known, LegState, SourceState } from './panel-state.ts';

/** `buses`: the states of all buses. */
export function sourceState(
  instant: Instant,
  source: Source,
  buses: readonly BusState[],
): SourceState {
  const { supply, latest, nowMs } = instant;
  const number = numberOf(instant, source.id);
  const group = supply.parts[number]?.group;
  const near = buses.filter((bus) => supply.parts[numberOf(instant, bus.id)]?.group === group);
  const fed = near.filter((bus) => bus.fedBy === source.id);
  const feedsIsKnown = near.every((bus) => bus.fedByIsKnown || !mayFeed(instant, number, bus));
  const fedLegs = feedsIsKnown ? fed.flatMap((bus) => bus.legs) : null;
  const legs = sourceLegs(latest, source, conclusionOf(instant, source.id), fedLegs, nowMs);
  const watts = sum(legs.map((leg) => leg.watts));
  const wattsRated = 'wattsRated' in source ? source.wattsRated : null;
  return {
    id: source.id,
    label: source.label,
    kind: source.kind,
    system: source.system,
    legs,
    hertz: latest.number(source.id, 'hertz', nowMs),
    watts,
    wattsRated,
    ...('battery' in source ? { battery: source.battery } : {}),
    loadRatio: sourceLoad(legs, watts, wattsRated),
    feeds: fed.map((bus) => bus.id),
    feedsIsKnown,
    because: fed.flatMap((bus) => bus.because),
  };
}

/** The same source `byMs` later, if nothing it rests on has changed since. */
export const sourceLater = (
  source: SourceState,
  byMs: number,
  buses: readonly BusState[],
): SourceState => ({
  ...source,
  legs: source.legs.map((leg) => legLater(leg, byMs)),
  hertz: later(source.hertz, byMs),
  watts: later(source.watts, byMs),
  loadRatio: later(source.loadRatio, byMs),
  because: source.feeds.flatMap((id) => byId(buses, id)?.because ?? []),
});

const mayFeed = (instant: Instant, root: number, bus: BusState): boolean =>
  conclusionOf(instant, bus.id)?.roots.has(root) ?? false;

/** The larger of the fullest leg and the total power, as far as each is known. */
function sourceLoad(legs: readonly LegState[], watts: Known, wattsRated: number | null): Known {
  const known = [...legs.map((leg) => leg.loadRatio), ratio(watts, wattsRated)].filter(
    (own) => own.value !== null,
  );
  return known.length === 0 ? UNKNOWN : derive(known, (...values) => Math.max(...values));
}
