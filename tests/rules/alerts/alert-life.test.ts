import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Alert, Finding, Priority } from '../../../rules/alerts/alert.ts';
import { advance, newAlert } from '../../../rules/alerts/alert-life.ts';
import type { Happening } from '../../../rules/alerts/alert-life.ts';

const finding = (priority: Priority): Finding => ({
  rule: 'test',
  subject: { part: 'a' },
  priority,
  title: 'Something',
  means: 'Something.',
  doThis: 'Something.',
  cautions: [],
  evidence: [],
  confidence: 'measured',
  points: [],
});

function play(priority: Priority, happenings: Happening[]): { alert: Alert; types: string[] } {
  let alert = newAlert(finding(priority), {
    id: 'test.a.1',
    sinceMs: 500,
    nowMs: 1000,
    mode: 'aboard',
  });
  const types: string[] = [];
  happenings.forEach((happening, i) => {
    const result = advance(alert, happening, 2000 + i);
    alert = result.alert;
    if (result.type !== null) types.push(result.type);
  });
  return { alert, types };
}

const ack: Happening = { type: 'acknowledge', by: 'Kim' };
const over: Happening = { type: 'return' };

describe('the life of an alert', () => {
  test('acknowledged, then over: closed, with who and when', () => {
    const { alert, types } = play('warning', [ack, over]);
    expect(types).toEqual(['acknowledged', 'returned']);
    expect(alert).toMatchObject({
      phase: 'closed',
      acknowledgedBy: 'Kim',
      acknowledgedAtMs: 2000,
      returnedAtMs: 2001,
      sinceMs: 500,
      raisedAtMs: 1000,
    });
  });

  test('over before anyone saw it: stays on show until acknowledged', () => {
    expect(play('alarm', [over]).alert.phase).toBe('returned');
    expect(play('alarm', [over, ack]).alert.phase).toBe('closed');
  });

  test('a caution that is over needs nobody', () => {
    expect(play('caution', [over]).alert.phase).toBe('closed');
  });

  test('back again before it was seen: the same alert, unacknowledged', () => {
    const { alert, types } = play('alarm', [over, { type: 'raise', finding: finding('alarm') }]);
    expect(alert).toMatchObject({ phase: 'unacknowledged', returnedAtMs: null });
    expect(types).toEqual(['returned', 'raised']);
  });

  test('worse than before has to be seen again, better need not', () => {
    const worse = play('warning', [ack, { type: 'describe', finding: finding('alarm') }]);
    expect(worse.alert.phase).toBe('unacknowledged');
    const better = play('alarm', [ack, { type: 'describe', finding: finding('warning') }]);
    expect(better.alert.phase).toBe('acknowledged');
    expect(better.types).toEqual(['acknowledged', 'priority changed']);
  });

  test('silence holds it and nothing else', () => {
    const { alert, types } = play('alarm', [{ type: 'hold' }, { type: 'hold' }]);
    expect(alert).toMatchObject({ phase: 'unacknowledged', isHeld: true });
    expect(types).toEqual(['held']);
  });

  test('whatever happens: closed is the end, and every step follows from the one before', () => {
    const happening = fc.constantFrom<Happening>(
      ack,
      over,
      { type: 'raise', finding: finding('alarm') },
      { type: 'describe', finding: finding('warning') },
      { type: 'hold' },
      { type: 'resume' },
      { type: 'close' },
    );
    fc.assert(
      fc.property(fc.array(happening, { maxLength: 30 }), (happenings) => {
        let alert = newAlert(finding('alarm'), { id: 'x', sinceMs: 0, nowMs: 0, mode: 'aboard' });
        for (const own of happenings) {
          const { alert: next, type } = advance(alert, own, 1);
          if (alert.phase === 'closed') expect(next).toBe(alert);
          if (next.phase === 'acknowledged') expect(next.acknowledgedBy).toBe('Kim');
          if (next.phase === 'returned' || next.phase === 'closed') expect(next.isHeld).toBe(false);
          if (next.phase !== alert.phase) expect(type).not.toBeNull();
          alert = next;
        }
      }),
    );
  });
});
