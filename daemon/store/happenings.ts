/** What full detail is kept of for ever: every alert, and every change of a source. */
import type { AlertRecord } from './alert-record.ts';
import type { Happening } from './history/clips.ts';

const PAGE = 1000;
const OF_SOURCES: ReadonlySet<string> = new Set(['source changed', 'source live', 'source dead']);

/** From a stored instant on, in no order. */
export function happeningsIn(record: AlertRecord, fromMs: number): Happening[] {
  const happenings: Happening[] = [];
  for (let before = Number.MAX_VALUE; ;) {
    const alerts = record.alerts.alerts({ phase: 'all', limit: PAGE, before });
    const found = alerts.filter(({ raisedAtMs }) => raisedAtMs >= fromMs);
    for (const { id, raisedAtMs } of found) happenings.push({ atMs: raisedAtMs, about: id });
    if (found.length < PAGE) break;
    before = found.at(-1)?.raisedAtMs ?? fromMs;
  }
  for (let to = Number.MAX_VALUE; ;) {
    const events = record.panelEvents.between({ from: fromMs, to, limit: PAGE });
    for (const { type, atMs, text } of events) {
      if (OF_SOURCES.has(type)) happenings.push({ atMs, about: text });
    }
    if (events.length < PAGE) break;
    to = events.at(-1)?.atMs ?? fromMs;
  }
  return happenings;
}
