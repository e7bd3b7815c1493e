/**
 * Between instants and what `<input type="datetime-local">` holds (HTML standard, local date and
 * time strings: `2026-07-01T14:02`). The zone's offset is given, in minutes behind UTC as
 * `Date.prototype.getTimezoneOffset` counts. Only `ownOffsetAt` knows the browser's zone.
 */
import { utcOffsetMs } from '../boat-clock.ts';

const MINUTE_MS = 60_000;

/** The offset of the browser's own zone at an instant of the boat's clock, and that clock's own. */
export function ownOffsetAt(atMs: number): number {
  const boatMs = utcOffsetMs.value;
  return new Date(atMs + boatMs).getTimezoneOffset() - boatMs / MINUTE_MS;
}

/** Local wall time, to the minute. */
export function toLocalInput(atMs: number, offsetMinutes: number): string {
  return new Date(atMs - offsetMinutes * MINUTE_MS).toISOString().slice(0, 16);
}

/** The instant; null where the text is no local date and time. */
export function fromLocalInput(text: unknown, offsetAt: (atMs: number) => number): number | null {
  if (typeof text !== 'string' || !/^\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d+)?)?$/.test(text)) {
    return null;
  }
  const asUtcMs = Date.parse(`${text}Z`);
  if (Number.isNaN(asUtcMs)) return null;
  // The offset belongs to the instant sought; near a change of clocks the second try is right.
  const firstMs = asUtcMs + offsetAt(asUtcMs) * MINUTE_MS;
  return asUtcMs + offsetAt(firstMs) * MINUTE_MS;
}
