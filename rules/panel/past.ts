/**
 * What the panel was, where what it is cannot be told or must be compared: last known positions,
 * what last fed each bus, since when a circuit draws. Plain JSON, kept over a restart.
 */
import type { LegName, PartId } from '../boat/boat.ts';
import { copyHabits } from './circuit-habits.ts';
import type { SavedHabits } from './circuit-habits.ts';
import { copyAudit, emptyAudit } from './clamp-steps.ts';
import type { SavedAudit } from './clamp-steps.ts';
import type { Activity, Live, PanelEvent, PanelState } from './panel-state.ts';

export interface Statement {
  position: string;
  by: string;
  atMs: number;
  /** Since when the readings contradict it, while it is not yet dropped. */
  refusedSinceMs?: number;
}

export interface Past {
  positions: Record<PartId, string>;
  /** Last known feed of each bus: a source or battery, and when it last was seen to feed. */
  feeds: Record<PartId, { by: PartId; atMs: number }>;
  activities: Record<PartId, { activity: Activity; sinceMs: number }>;
  live: Record<PartId, Record<LegName, Live>>;
  /** What persons said of selectors and main switches, until a reading contradicts it. */
  statements: Record<PartId, Statement>;
  /** What the clamps have shown of each other; absent in what an older version saved. */
  audit?: SavedAudit;
  /** What each circuit usually does; absent in what an older version saved. */
  habits?: SavedHabits;
}

export const emptyPast = (): Past => ({
  positions: {},
  feeds: {},
  activities: {},
  live: {},
  statements: {},
  habits: {},
  audit: emptyAudit(),
});

/** A copy that later changes do not reach. */
export function copyPast(past: Past): Past {
  const live = Object.entries(past.live).map(([part, legs]) => [part, { ...legs }] as const);
  return {
    positions: { ...past.positions },
    feeds: { ...past.feeds },
    activities: { ...past.activities },
    live: Object.fromEntries(live),
    statements: { ...past.statements },
    habits: copyHabits(past.habits ?? {}),
    audit: copyAudit(past.audit ?? emptyAudit()),
  };
}

/** Since when the circuit's activity is what it is now; null when unknown. Updates `past`. */
export function activeSince(
  past: Past,
  circuit: PartId,
  activity: Activity,
  nowMs: number,
): number | null {
  if (activity === 'unknown') return null;
  const before = past.activities[circuit];
  if (before?.activity === activity) return before.sinceMs;
  past.activities[circuit] = { activity, sinceMs: nowMs };
  return nowMs;
}

/** What a circuit did while its sensor hung, nobody saw: what it does then begins anew. */
export function forgetActivity(past: Past, circuit: PartId): void {
  delete past.activities[circuit];
}

/** Compares `panel` with the past, brings the past up to date and returns what has changed. */
export function noteChanges(past: Past, panel: PanelState): PanelEvent[] {
  const { atMs } = panel;
  const events: PanelEvent[] = [];
  const label = (id: PartId): string =>
    [...panel.sources, ...panel.batteries].find((own) => own.id === id)?.label ?? id;

  for (const own of [...panel.selectors, ...panel.mainSwitches]) {
    const { position } = own;
    if (position === null || position === 'unknown') continue;
    const before = past.positions[own.id];
    past.positions[own.id] = position;
    if (before === undefined || before === position) continue;
    const text = `${own.label} went from ${before} to ${position}.`;
    events.push({ atMs, type: 'position changed', part: own.id, text });
  }
  for (const source of panel.sources) {
    for (const { leg, live } of source.legs) {
      if (live === 'unknown') continue;
      const legs = (past.live[source.id] ??= {});
      const before = legs[leg];
      legs[leg] = live;
      if (before === undefined || before === live) continue;
      const where = source.legs.length > 1 ? `${source.label} leg ${leg}` : source.label;
      events.push({
        atMs,
        type: live === 'live' ? 'source live' : 'source dead',
        part: source.id,
        text: live === 'live' ? `${where} has voltage.` : `${where} reads no voltage any more.`,
      });
    }
  }
  for (const bus of panel.buses) {
    // A feed counts only while the bus is live: a selector on a dead source feeds nothing.
    const isLive = bus.legs.some((leg) => leg.live === 'live');
    if (bus.fedBy === null || !isLive) continue;
    const before = past.feeds[bus.id];
    past.feeds[bus.id] = { by: bus.fedBy, atMs };
    if (before === undefined || before.by === bus.fedBy) continue;
    const text = `${bus.label} is now fed by ${label(bus.fedBy)}; before, by ${label(before.by)}.`;
    const feed = { by: bus.fedBy, before: before.by };
    events.push({ atMs, type: 'source changed', part: bus.id, text, feed });
  }
  return events;
}
