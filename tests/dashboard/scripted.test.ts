import { expect, test } from 'vitest';
import {
  alertSchema,
  healthAnswerSchema,
  historyAnswerSchema,
  panelStateSchema,
  pointDescriptionSchema,
} from '../../daemon/api/contract.ts';
import {
  missingPumpAlarm,
  overloadWarning,
  PAST_ALERTS,
  silentSensorCaution,
} from '../browser/scripted-alerts.ts';
import { scriptedHealth } from '../browser/scripted-health.ts';
import { POINT_DESCRIPTIONS, scriptedHistory } from '../browser/scripted-history.ts';
import { EVENING_MS, scriptedPanel } from '../browser/scripted-panel.ts';

test('what the scripted boat says obeys the contract, word for word', () => {
  panelStateSchema.parse(scriptedPanel(EVENING_MS));
  for (const alert of [
    overloadWarning(),
    missingPumpAlarm(),
    silentSensorCaution(),
    ...PAST_ALERTS,
  ]) {
    alertSchema.parse(alert);
  }
  for (const point of POINT_DESCRIPTIONS) pointDescriptionSchema.parse(point);
  const span = { fromMs: EVENING_MS - 3_600_000, toMs: EVENING_MS };
  const hole = { fromMs: EVENING_MS - 600_000, toMs: EVENING_MS - 300_000 };
  const history = historyAnswerSchema.parse(
    scriptedHistory(['bow-l1-amps'], span, 60, hole, EVENING_MS),
  );
  expect(history.series[0]?.buckets.length).toBeLessThan(60);
  const about = {
    name: 'Sable Plover',
    system: { ac: null, dc: null },
    version: '0.1.0',
    startedAtMs: 0,
    speed: 1,
    isDemo: true,
    scenario: null,
  };
  healthAnswerSchema.parse(scriptedHealth(EVENING_MS, about));
});
