/** From when to when the points behind an alert are drawn. Pure. */
import type { Alert } from '../../daemon/api/contract.ts';
import type { Span } from '../route.ts';

const HOUR_MS = 3_600_000;
/** So much before the condition began belongs to its picture, and after it was over. */
const LEAD_MS = HOUR_MS / 4;

/** At least an hour, never past now; the last hour where the clock leaves nothing else. */
export function spanOf(alert: Pick<Alert, 'sinceMs' | 'returnedAtMs'>, nowMs: number): Span {
  const fromMs = alert.sinceMs - LEAD_MS;
  const endMs = (alert.returnedAtMs ?? nowMs) + LEAD_MS;
  const toMs = Math.min(Math.max(endMs, fromMs + HOUR_MS), nowMs);
  return toMs > fromMs ? { fromMs, toMs } : '1h';
}
