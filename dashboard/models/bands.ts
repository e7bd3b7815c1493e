/** What stands behind the curves: which sources fed the boat, and which alerts stood. Pure. */
import type { BandsAnswer, PanelState, Priority } from '../../daemon/api/contract.ts';
import type { Stretch } from './stretch.ts';

/** A time in which the same sources fed the boat. */
export interface FeedBand extends Stretch {
  /** Parts that fed her buses, each once; empty where that is not known. */
  sources: string[];
  /** Those of them that had lost their voltage. */
  lost: string[];
}

export interface AlertBand extends Stretch {
  id: string;
  priority: Priority;
  title: string;
  /** It stood beyond the end of what is shown. */
  isOpenEnded: boolean;
}

export interface NamedBand {
  band: FeedBand;
  /** What is said of it. */
  text: string;
}

export interface Backdrop {
  feeds: NamedBand[];
  alerts: AlertBand[];
  /** An instant that is marked. */
  atMs: number | null;
}

/** Which part feeds a bus now; null: not known, or nothing. */
export interface BusNow {
  id: string;
  fedBy: string | null;
}

/** The buses whose source is shown: those of the AC side, or all of a boat that has none. */
export function busesNow({ buses }: Pick<PanelState, 'buses'>): BusNow[] {
  const ac = buses.filter(({ system }) => system === 'ac');
  return (ac.length > 0 ? ac : buses).map(({ id, fedBy, fedByIsKnown }) => ({
    id,
    fedBy: fedByIsKnown ? fedBy : null,
  }));
}

interface Change {
  atMs: number;
  by: string;
  before: string;
}

/** Changes of a bus's source, oldest first; an older record may lack the parts' ids. */
function changesOf(bus: string, { before, sourceEvents }: BandsAnswer): Change[] {
  return [...before, ...sourceEvents].flatMap(({ type, part, atMs, feed }) =>
    type === 'source changed' && part === bus && feed ? [{ atMs, ...feed }] : [],
  );
}

/** What fed a bus at an instant. Without any recorded change it is what feeds it now. */
function feederAt(atMs: number, changes: readonly Change[], now: BusNow): string | null {
  const last = changes.findLast((change) => change.atMs <= atMs);
  return last?.by ?? changes[0]?.before ?? now.fedBy;
}

function hasLost(source: string, atMs: number, { before, sourceEvents }: BandsAnswer): boolean {
  const last = [...before, ...sourceEvents].findLast(
    (event) =>
      event.part === source &&
      event.atMs <= atMs &&
      (event.type === 'source live' || event.type === 'source dead'),
  );
  return last?.type === 'source dead';
}

const isSame = (a: readonly string[], b: readonly string[]): boolean =>
  a.length === b.length && a.every((one, index) => one === b[index]);

/** The stretch cut where the sources change; equal neighbours are one band. */
export function feedBands(
  answer: BandsAnswer,
  buses: readonly BusNow[],
  stretch: Stretch,
): FeedBand[] {
  const changes = buses.map((bus) => ({ bus, changes: changesOf(bus.id, answer) }));
  const cuts = answer.sourceEvents
    .map(({ atMs }) => atMs)
    .filter((atMs) => atMs > stretch.fromMs && atMs < stretch.toMs);
  const starts = [...new Set([stretch.fromMs, ...cuts])].sort((a, b) => a - b);
  const bands: FeedBand[] = [];
  starts.forEach((fromMs, index) => {
    const toMs = starts[index + 1] ?? stretch.toMs;
    const feeders = changes.map(({ bus, changes: own }) => feederAt(fromMs, own, bus));
    const sources = [...new Set(feeders.filter((id) => id !== null))];
    const lost = sources.filter((id) => hasLost(id, fromMs, answer));
    const last = bands.at(-1);
    if (last && isSame(last.sources, sources) && isSame(last.lost, lost)) last.toMs = toMs;
    else bands.push({ fromMs, toMs, sources, lost });
  });
  return bands;
}

/** Alerts within the stretch, each cut to it, oldest first. */
export function alertBands({ alerts }: Pick<BandsAnswer, 'alerts'>, stretch: Stretch): AlertBand[] {
  return alerts.flatMap(({ id, priority, title, fromMs, toMs }) => {
    const end = toMs ?? stretch.toMs;
    if (fromMs >= stretch.toMs || end < stretch.fromMs) return [];
    return {
      id,
      priority,
      title,
      fromMs: Math.max(fromMs, stretch.fromMs),
      toMs: Math.min(end, stretch.toMs),
      isOpenEnded: toMs === null || toMs > stretch.toMs,
    };
  });
}

/** A place for every source that is named, in the order in which the boat has them: its shade. */
export function shadesOf(bands: readonly FeedBand[]): ReadonlyMap<string, number> {
  const keys = new Set(bands.filter(({ sources }) => sources.length > 0).map(keyOf));
  return new Map([...keys].sort().map((key, index) => [key, index]));
}

/** Equal for bands with the same sources. */
export const keyOf = ({ sources }: Pick<FeedBand, 'sources'>): string => [...sources].sort().join();
