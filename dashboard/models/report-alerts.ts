/** The alerts of a period with who acknowledged them. Pure. */
import type { Alert, AlertBand } from '../../daemon/api/contract.ts';

export interface ReportedAlert extends AlertBand {
  acknowledged: { by: string; atMs: number } | null;
}

/** In order of time; `alerts` may lack some, which then count as not acknowledged. */
export function reportedAlerts(
  bands: readonly AlertBand[],
  alerts: readonly Alert[],
): ReportedAlert[] {
  const byId = new Map(alerts.map((alert) => [alert.id, alert]));
  const reported: ReportedAlert[] = [];
  for (const band of bands) {
    const { acknowledgedBy = null, acknowledgedAtMs = null } = byId.get(band.id) ?? {};
    const isDone = acknowledgedBy !== null && acknowledgedAtMs !== null;
    const acknowledged = isDone ? { by: acknowledgedBy, atMs: acknowledgedAtMs } : null;
    reported.push({ ...band, acknowledged });
  }
  return reported.sort((a, b) => a.fromMs - b.fromMs);
}
