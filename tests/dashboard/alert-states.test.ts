import { describe, expect, test } from 'vitest';
import { opensByItself } from '../../dashboard/models/alert-list.ts';
import {
  firstBackMs,
  isWaking,
  placesOf,
  reviewsDue,
  statesOf,
} from '../../dashboard/models/alert-states.ts';
import { clockText } from '../../dashboard/format.ts';
import {
  alertsInEveryState,
  missingPumpAlarm,
  overloadWarning,
} from '../browser/scripted-alerts.ts';
import { EVENING_MS } from '../browser/scripted-panel.ts';

const MINUTE_MS = 60_000;
const all = alertsInEveryState();
const [silenced, escalated, latched, shelved, retired] = all;
const kinds = (alert = silenced) => statesOf(alert ?? overloadWarning(), EVENING_MS);
const clock = (minutes: number) => clockText(EVENING_MS + minutes * MINUTE_MS, EVENING_MS);

describe('what is so', () => {
  test('is told with who, when and until when', () => {
    expect(kinds(silenced).map(({ kind }) => kind)).toEqual(['silenced', 'flood']);
    expect(kinds(silenced)[0]?.text).toContain(`Silenced by Wren until ${clock(4)}:00`);
    const [away] = kinds(shelved);
    expect(away?.text).toContain(`Shelved until ${clock(40)}, by Wren at ${clock(-20)}`);
    expect(away?.text).toContain('the impeller is being changed');
    const [out] = kinds(retired);
    expect(out?.text).toContain(`Out of service since ${clock(-20)}, by Wren`);
    expect(out?.text).toContain('the sensor is ashore for repair');
    expect(out?.text).toContain(`review ${clock(7 * 24 * 60)}`);
  });

  test('tells a latched one with its caution, and a review that is due', () => {
    expect(kinds(latched)[0]?.text).toMatch(
      /Waits for an inspection.*proves a circuit dead.*licensed electrician/,
    );
    const later = EVENING_MS + 8 * 24 * 60 * MINUTE_MS;
    expect(retired && statesOf(retired, later)[0]?.text).toContain('review was due');
    expect(reviewsDue(all, EVENING_MS)).toBe(0);
    expect(reviewsDue(all, later)).toBe(1);
  });

  test('tells a step of escalation while nobody has acknowledged, and not before the first', () => {
    expect(kinds(escalated).map(({ kind }) => kind)).toEqual(['escalated', 'chattering']);
    expect(kinds(escalated)[0]?.text).toContain('told again 2 times');
    const escalation = { step: 2, nextAtMs: EVENING_MS };
    expect(kinds(missingPumpAlarm({ escalation, phase: 'returned' }))).toEqual([]);
    expect(
      kinds(overloadWarning({ escalation: { step: 0, nextAtMs: EVENING_MS } })).map((s) => s.kind),
    ).toEqual([]);
  });
});

describe('where it stands', () => {
  test('each in one place, none nowhere', () => {
    const places = placesOf(all);
    expect(places.told).toEqual([silenced, escalated, latched]);
    expect(places.shelved).toEqual([shelved]);
    expect(places.outOfService).toEqual([retired]);
    expect(firstBackMs(places.shelved)).toBe(EVENING_MS + 40 * MINUTE_MS);
    expect(firstBackMs(places.outOfService)).toBeNull();
  });

  test('its sign moves only where somebody has to learn of it', () => {
    expect(all.map(isWaking)).toEqual([false, true, false, false, false]);
    expect(isWaking(overloadWarning())).toBe(true);
    const away = { ...overloadWarning(), ...(shelved?.shelved && { shelved: shelved.shelved }) };
    expect(isWaking(away)).toBe(false);
    expect(opensByItself(away)).toBe(false);
  });

  test('what waits for an inspection stands open, with its cautions', () => {
    expect(latched && opensByItself(latched)).toBe(true);
  });
});
