/**
 * What a sounder aboard should do now: `on` while an alarm or an emergency alarm calls for a person, `off`
 * once everything is acknowledged, silenced or put away. Retained, so that a sounder that has just been
 * switched on knows. Pure.
 */
import type { Alert } from '../../rules/index.ts';

export function soundOf(alerts: readonly Alert[]): 'on' | 'off' {
  return alerts.some(calls) ? 'on' : 'off';
}

function calls(alert: Alert): boolean {
  const isGrave = alert.priority === 'emergency alarm' || alert.priority === 'alarm';
  const isPutAway =
    alert.silenced !== undefined ||
    alert.shelved !== undefined ||
    alert.outOfService !== undefined ||
    alert.inFlood !== undefined;
  return isGrave && alert.phase === 'unacknowledged' && !isPutAway;
}
