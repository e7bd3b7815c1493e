/** The limits are those of the contract (daemon/api/contract.ts), which takes them from the rules. */
import { describe, expect, test } from 'vitest';
import {
  actsOn,
  endFrom,
  OTHER_END,
  REVIEW_LENGTHS_MS,
  shelveLengthsMs,
  shelveMostMs,
} from '../../dashboard/models/alert-acts.ts';
import type { Alert } from '../../daemon/api/contract.ts';
import type { Act } from '../../rules/alerts/alert.ts';
import {
  REVIEW_MOST_MS,
  shelveMostMs as shelveMostOfRules,
} from '../../rules/alerts/life-times.ts';
import { objectionTo } from '../../rules/alerts/objections.ts';
import { alertsInEveryState, overloadWarning } from '../browser/scripted-alerts.ts';
import { EVENING_MS } from '../browser/scripted-panel.ts';

const HOUR_MS = 3_600_000;
const ACTS: Record<string, Act> = {
  acknowledge: { type: 'acknowledge' },
  silence: { type: 'silence' },
  unshelve: { type: 'unshelve' },
  'in-service': { type: 'put back in service' },
  inspected: { type: 'inspect' },
  shelve: { type: 'shelve', untilMs: EVENING_MS + HOUR_MS },
  'out-of-service': {
    type: 'take out of service',
    reason: 'repair',
    reviewAtMs: EVENING_MS + HOUR_MS,
  },
};
const PRIORITIES = ['emergency alarm', 'alarm', 'warning', 'caution'] as const;
const PHASES = ['unacknowledged', 'acknowledged', 'returned', 'latched', 'closed'] as const;

const every: Alert[] = alertsInEveryState().flatMap((alert) =>
  PRIORITIES.flatMap((priority) =>
    PHASES.flatMap((phase): Alert[] => [
      { ...alert, priority, phase },
      { ...alert, priority, phase, needsInspection: true },
    ]),
  ),
);

describe('what is offered', () => {
  test('is never what the rules would refuse', () => {
    expect(every.length).toBeGreaterThan(150);
    const refused = every.flatMap((alert) =>
      actsOn(alert).flatMap((name) => {
        const act = ACTS[name];
        const why = act === undefined ? 'unknown' : objectionTo(alert, act, EVENING_MS);
        return why === null ? [] : [{ name, why }];
      }),
    );
    expect(refused).toEqual([]);
  });

  test('leaves out only what would change nothing', () => {
    const missing = every.flatMap((alert) =>
      Object.entries(ACTS)
        .filter(([name]) => !actsOn(alert).some((offered) => offered === name))
        .filter(([, act]) => objectionTo(alert, act, EVENING_MS) === null)
        .map(([name]) => ({ name, phase: alert.phase, isSilenced: alert.silenced !== undefined })),
    );
    const isIdle = ({ name, phase, isSilenced }: (typeof missing)[number]): boolean =>
      (name === 'acknowledge' && (phase === 'acknowledged' || phase === 'latched')) ||
      (name === 'silence' && isSilenced);
    expect(missing.filter((one) => !isIdle(one))).toEqual([]);
  });

  test('of a new warning begins with the answer to it', () => {
    expect(actsOn(overloadWarning())).toEqual([
      'acknowledge',
      'silence',
      'shelve',
      'out-of-service',
    ]);
  });
});

describe('lengths', () => {
  test('of shelving end where the rules end them', () => {
    for (const alert of every) {
      expect(shelveMostMs(alert)).toBe(shelveMostOfRules(alert));
      expect(shelveLengthsMs(alert).at(-1)).toBe(shelveMostOfRules(alert));
    }
    expect(shelveLengthsMs(overloadWarning()).map((ms) => ms / HOUR_MS)).toEqual([0.5, 1, 2, 4, 8]);
  });

  test('until a review as well', () => {
    expect(REVIEW_LENGTHS_MS.at(-1)).toBe(REVIEW_MOST_MS);
  });
});

test('an end is a length from now, or the instant that was written', () => {
  const instantOf = (text: unknown) => (text === '2026-07-01T14:02' ? 42 : null);
  expect(endFrom(String(HOUR_MS), 'x', EVENING_MS, instantOf)).toBe(EVENING_MS + HOUR_MS);
  expect(endFrom(OTHER_END, '2026-07-01T14:02', EVENING_MS, instantOf)).toBe(42);
  for (const [chosen, written] of [
    [OTHER_END, ''],
    [null, '2026-07-01T14:02'],
    ['', ''],
    ['soon', ''],
  ]) {
    expect(endFrom(chosen, written, EVENING_MS, instantOf)).toBeNull();
  }
});
