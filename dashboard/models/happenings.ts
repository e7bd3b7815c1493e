/** What happened, in one list beside a chart: events at the panel and alerts. Pure. */
import type { PanelEvent, Priority } from '../../daemon/api/contract.ts';
import type { AlertBand } from './bands.ts';

export interface Happening {
  key: string;
  atMs: number;
  text: string;
  /** Of an alert; null for an event at the panel. */
  priority: Priority | null;
}

/** Newest first, each once; of alerts their beginning. */
export function happeningsOf(
  events: readonly PanelEvent[],
  alerts: readonly Pick<AlertBand, 'id' | 'fromMs' | 'priority' | 'title'>[],
): Happening[] {
  const all = new Map<string, Happening>();
  for (const { atMs, type, part, text } of events) {
    const key = `${atMs} ${type} ${part} ${text}`;
    all.set(key, { key, atMs, text, priority: null });
  }
  for (const { id, fromMs, priority, title } of alerts) {
    all.set(id, { key: id, atMs: fromMs, text: title, priority });
  }
  return [...all.values()].sort((a, b) => b.atMs - a.atMs);
}

/** Those whose words hold every word that was typed, in any order and case. */
export function holding(happenings: readonly Happening[], typed: string): Happening[] {
  const wanted = typed.toLowerCase().split(/\s+/).filter(Boolean);
  return happenings.filter(({ text }) => {
    const own = text.toLowerCase();
    return wanted.every((word) => own.includes(word));
  });
}
