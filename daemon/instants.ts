/** Instants as a person types them, and as they are printed. */

const UNITS_MS: Readonly<Record<string, number>> = {
  min: 60_000,
  h: 3_600_000,
  d: 86_400_000,
  w: 7 * 86_400_000,
};

export const INSTANT_FORMS =
  'a date (2026-08-01), a date and time (2026-08-01T14:30, with Z or +02:00 where it is not this ' +
  "computer's own time), a time before now (90min, 6h, 3d, 2w), or now";

const DATE = /^\d{4}-\d{2}-\d{2}$/;
const DATE_AND_TIME = /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2}(\.\d{1,3})?)?(Z|[+-]\d{2}:\d{2})?$/;
const BEFORE_NOW = /^(\d{1,6}(?:\.\d{1,3})?)(min|h|d|w)$/;

/**
 * Milliseconds since 1970. A date is its first instant. Without an offset it is the computer's own
 * time zone; of an hour that comes twice in autumn, the first. Null: not in one of `INSTANT_FORMS`.
 */
export function readInstant(text: string, nowMs: number): number | null {
  if (text === 'now') return nowMs;
  const [, amount, unit] = BEFORE_NOW.exec(text) ?? [];
  if (amount !== undefined && unit !== undefined) {
    return nowMs - Number(amount) * (UNITS_MS[unit] ?? 0);
  }
  const whole = DATE.test(text) ? `${text}T00:00` : text;
  if (!DATE_AND_TIME.test(whole)) return null;
  const atMs = new Date(whole).getTime();
  return Number.isNaN(atMs) || !isOnTheCalendar(whole) ? null : atMs;
}

/** JavaScript takes 30 February for 1 or 2 March. */
function isOnTheCalendar(text: string): boolean {
  const day = text.slice(0, 10);
  return new Date(`${day}T00:00:00Z`).toISOString().slice(0, 10) === day;
}

/** `2026-08-01T14:30:00.000Z`. */
export const utcText = (atMs: number): string => new Date(Math.round(atMs)).toISOString();

/** `2026-08-01 14:30:00` in the computer's own time zone. */
export function localText(atMs: number): string {
  const at = new Date(Math.round(atMs));
  const two = (value: number): string => String(value).padStart(2, '0');
  const day = [at.getFullYear(), two(at.getMonth() + 1), two(at.getDate())].join('-');
  return `${day} ${[at.getHours(), at.getMinutes(), at.getSeconds()].map(two).join(':')}`;
}
