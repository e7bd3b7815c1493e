import { describe, expect, test } from 'vitest';
import {
  announcementOf,
  awaitsAcknowledgement,
  inOrder,
  openFrom,
  opensByItself,
  withAlert,
} from '../../dashboard/models/alert-list.ts';
import { withOlder } from '../../dashboard/models/past.ts';
import type { AlertEvent } from '../../daemon/api/contract.ts';
import {
  missingPumpAlarm,
  overloadWarning,
  silentSensorCaution,
} from '../browser/scripted-alerts.ts';

const warning = overloadWarning();
const alarm = missingPumpAlarm();
const caution = silentSensorCaution();

describe('order', () => {
  test('is by urgency, then by who still has to answer, then newest first', () => {
    const emergency = overloadWarning({ id: 'e', priority: 'emergency alarm', phase: 'returned' });
    const known = overloadWarning({ id: 'known', phase: 'acknowledged', raisedAtMs: 9e12 });
    const older = overloadWarning({ id: 'older', raisedAtMs: warning.raisedAtMs - 1 });
    const ids = inOrder([caution, known, older, warning, alarm, emergency]).map(({ id }) => id);
    expect(ids).toEqual(['e', alarm.id, warning.id, 'older', 'known', caution.id]);
  });
});

describe('the open alerts', () => {
  test('follow each change, and lose what is closed', () => {
    const open = openFrom([warning, alarm, overloadWarning({ id: 'gone', phase: 'closed' })]);
    expect([...open.keys()]).toEqual([warning.id, alarm.id]);
    const answered = withAlert(open, { ...warning, phase: 'acknowledged' });
    expect(answered.get(warning.id)?.phase).toBe('acknowledged');
    expect(open.get(warning.id)?.phase).toBe('unacknowledged');
    expect([...withAlert(answered, { ...warning, phase: 'closed' }).keys()]).toEqual([alarm.id]);
  });

  test('wait for an answer while nobody gave one, also when the condition is over', () => {
    expect([warning, alarm, caution].map(awaitsAcknowledgement)).toEqual([true, false, true]);
  });

  test('stand open with all their text when they are new and more than a caution', () => {
    const newCaution = silentSensorCaution({ phase: 'unacknowledged' });
    expect([warning, alarm, newCaution].map(opensByItself)).toEqual([true, false, false]);
  });
});

describe('what is said aloud', () => {
  const event = (type: AlertEvent['type'], alert = warning): AlertEvent => ({
    seq: 1,
    atMs: 0,
    alertId: alert.id,
    type,
    actor: 'Wren',
    alert,
  });

  test('new alerts, and urgently so from an alarm on', () => {
    expect(announcementOf(event('raised'))).toEqual({
      text: `New warning: ${warning.title}`,
      isUrgent: false,
    });
    expect(announcementOf(event('raised', alarm))?.isUrgent).toBe(true);
  });

  test('who acknowledged, what is over; and nothing about the rest', () => {
    expect(announcementOf(event('acknowledged'))?.text).toContain('Wren');
    expect(announcementOf(event('returned'))?.text).toContain('over');
    expect(
      (['closed', 'held', 'resumed'] as const).map((type) => announcementOf(event(type))),
    ).toEqual([null, null, null]);
  });
});

test('overlapping pages of past alerts hold each alert once', () => {
  const page = withOlder([warning, alarm], [alarm, caution]);
  expect(page.list.map(({ id }) => id)).toEqual([warning.id, alarm.id, caution.id]);
  expect(page.added).toBe(1);
  expect(withOlder(page.list, [caution]).added).toBe(0);
});
