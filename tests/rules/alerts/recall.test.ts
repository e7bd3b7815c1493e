/** A ledger that has lost what it knew, or knows less than the record: it goes on from the record. */
import { describe, expect, test } from 'vitest';
import type { Alert, AlertEvent, Priority } from '../../../rules/alerts/alert.ts';
import type { Check, Verdict } from '../../../rules/alerts/check.ts';
import { Ledger } from '../../../rules/alerts/ledger.ts';
import type { SavedLedger } from '../../../rules/alerts/ledger.ts';

const START_MS = 1_700_000_000_000;
const MINUTE_MS = 60_000;

function checkOf(
  verdict: Verdict,
  more: { priority?: Priority; onDelayMs?: number; offDelayMs?: number; isBurnt?: boolean } = {},
): Check {
  const { priority = 'alarm', onDelayMs = 0, offDelayMs = 0, isBurnt = false } = more;
  return {
    rule: 'leak',
    key: 'leak.bilge',
    levels: [{ priority, verdict, onDelayMs }],
    offDelayMs,
    describe: (reached) => ({
      rule: 'leak',
      subject: { part: 'bilge' },
      priority: reached,
      title: 'The bilge leaks',
      means: '.',
      doThis: '.',
      cautions: [],
      evidence: [],
      confidence: 'measured',
      points: [],
      ...(isBurnt && { needsInspection: true }),
    }),
  };
}

/** The alerts that a record holds open after these events. */
function openAfter(events: readonly AlertEvent[]): Alert[] {
  const alerts = new Map<string, Alert>();
  for (const { alertId, alert } of events) alerts.set(alertId, alert);
  return [...alerts.values()].filter(({ phase }) => phase !== 'closed');
}

/** One that stands since `START_MS`, with what was saved of it, and its events so far. */
function raised(check: Check): { saved: SavedLedger; events: AlertEvent[]; ledger: Ledger } {
  const ledger = new Ledger({}, 0);
  const events = ledger.run([check], START_MS, 0, 'aboard');
  return { saved: json(ledger.save()), events, ledger };
}

const json = <Saved>(saved: Saved): Saved => JSON.parse(JSON.stringify(saved));

/** A ledger that knows nothing, over a record with these events. */
function lost(events: readonly AlertEvent[]): { ledger: Ledger; taken: AlertEvent[] } {
  const ledger = new Ledger({}, events.at(-1)?.seq ?? 0);
  return { ledger, taken: ledger.recall(openAfter(events), START_MS + MINUTE_MS) };
}

const LATER_MS = START_MS + MINUTE_MS + 1000;

describe('what was saved is lost', () => {
  test('what stood is held under its own id, with an event of the next number', () => {
    const { events } = raised(checkOf('raise'));
    const { ledger, taken } = lost(events);
    expect(taken).toMatchObject([
      { seq: 2, type: 'taken up', actor: 'panelward', alertId: events[0]?.alertId },
    ]);
    expect(ledger.open()).toMatchObject([
      { id: events[0]?.alertId, phase: 'unacknowledged', isHeld: true, sinceMs: START_MS },
    ]);
  });

  test('a silent sensor neither confirms nor ends it', () => {
    const { ledger } = lost(raised(checkOf('raise')).events);
    expect(ledger.run([checkOf('unknown')], LATER_MS, 1000, 'aboard')).toEqual([]);
    expect(ledger.open()).toMatchObject([{ isHeld: true }]);
  });

  test('seen to hold it goes on at once, whatever its on-delay; its end is then a real one', () => {
    const slow = { onDelayMs: 10 * MINUTE_MS };
    const { ledger } = lost(raised(checkOf('raise')).events);
    const [resumed, ...more] = ledger.run([checkOf('raise', slow)], LATER_MS, 1000, 'aboard');
    expect(resumed).toMatchObject({ type: 'resumed', alert: { isHeld: false } });
    expect(more).toEqual([]);
    const [end] = ledger.run([checkOf('clear', slow)], LATER_MS + 1000, 1000, 'aboard');
    expect(end).toMatchObject({ type: 'returned', alert: { phase: 'returned' } });
    expect(end?.alert).not.toHaveProperty('ended');
  });

  test('never seen to hold again it ends without being called over, after its off-delay', () => {
    const check = checkOf('clear', { offDelayMs: 1500 });
    const { ledger } = lost(raised(checkOf('raise')).events);
    expect(ledger.run([check], LATER_MS, 1000, 'aboard')).toEqual([]);
    expect(ledger.run([check], LATER_MS + 1000, 1000, 'aboard')).toEqual([]);
    expect(ledger.run([check], LATER_MS + 2000, 1000, 'aboard')).toMatchObject([
      { type: 'closed', alert: { phase: 'closed', ended: { why: 'lost in a restart' } } },
    ]);
    expect(ledger.open()).toEqual([]);
    const again = ledger.run([checkOf('raise')], LATER_MS + 3000, 1000, 'aboard');
    expect(again).toMatchObject([{ type: 'raised', seq: 4 }]);
    expect(again[0]?.alert).not.toHaveProperty('ended');
  });

  test('what may be burnt stays until somebody has looked, and may come again as it was', () => {
    const { ledger } = lost(raised(checkOf('raise', { isBurnt: true })).events);
    const clear = checkOf('clear', { isBurnt: true });
    expect(ledger.run([clear], LATER_MS, 1000, 'aboard')).toMatchObject([
      { type: 'returned', alert: { phase: 'returned', ended: { why: 'lost in a restart' } } },
    ]);
    const [again] = ledger.run([checkOf('raise', { isBurnt: true })], LATER_MS, 1000, 'aboard');
    expect(again).toMatchObject({ type: 'raised', alert: { phase: 'unacknowledged' } });
    expect(again?.alert).not.toHaveProperty('ended');
  });

  test('it is taken up once: whoever saves after it finds nothing to take up', () => {
    const { events } = raised(checkOf('raise'));
    const { ledger, taken } = lost(events);
    const all = [...events, ...taken];
    const next = new Ledger(json(ledger.save()), all.length);
    expect(next.recall(openAfter(all), LATER_MS)).toEqual([]);
    // And it is still not confirmed.
    expect(next.run([checkOf('clear')], LATER_MS, 0, 'aboard')).toMatchObject([
      { type: 'closed', alert: { ended: { why: 'lost in a restart' } } },
    ]);
  });

  test('what a person said of it is kept: acknowledged, shelved, over and not yet seen', () => {
    const { ledger: first, events } = raised(checkOf('raise'));
    const id = events[0]?.alertId ?? '';
    const untilMs = START_MS + 60 * MINUTE_MS;
    const acts = [{ type: 'acknowledge' } as const, { type: 'shelve', untilMs } as const];
    for (const act of acts) {
      const done = first.act(id, act, 'Kim', START_MS + 1000);
      if ('problem' in done) throw new Error(done.problem);
      events.push(...done.events);
    }
    expect(lost(events).ledger.open()).toMatchObject([
      { acknowledgedBy: 'Kim', shelved: { by: 'Kim', untilMs }, isHeld: true },
    ]);

    const second = raised(checkOf('raise'));
    second.events.push(...second.ledger.run([checkOf('clear')], START_MS + 1000, 1000, 'aboard'));
    const { ledger } = lost(second.events);
    expect(ledger.open()).toMatchObject([{ phase: 'returned', isHeld: false }]);
    expect(ledger.run([checkOf('clear')], LATER_MS, 1000, 'aboard')).toEqual([]);
    expect(ledger.open()).toMatchObject([{ phase: 'returned' }]);
  });

  test('its escalation waits a whole step before it goes on', () => {
    const { ledger, taken } = lost(raised(checkOf('raise')).events);
    const step = taken[0]?.alert.escalation;
    expect(step).toEqual({ step: 0, nextAtMs: START_MS + MINUTE_MS + 30_000 });
    expect(ledger.run([checkOf('unknown')], LATER_MS, 1000, 'aboard')).toEqual([]);
  });

  test('a rule that is gone from the boat file ends it as no longer watched', () => {
    const { ledger } = lost(raised(checkOf('raise')).events);
    expect(ledger.run([], LATER_MS, 1000, 'aboard')).toMatchObject([
      { type: 'closed', alert: { ended: { why: 'no longer watched' } } },
    ]);
  });

  test('of two open alerts of one condition the older is closed', () => {
    const [first] = raised(checkOf('raise')).events;
    if (!first) throw new Error('nothing was raised');
    const alert = { ...first.alert, id: 'leak.bilge.7' };
    const second = { ...first, seq: 7, alertId: alert.id, alert };
    const { ledger, taken } = lost([first, second]);
    expect(taken).toMatchObject([
      { seq: 8, type: 'closed', alertId: first.alertId, alert: { phase: 'closed' } },
      { seq: 9, type: 'taken up', alertId: alert.id },
    ]);
    expect(ledger.open()).toHaveLength(1);
  });
});

describe('what was saved is older than the record', () => {
  test('what was raised, acknowledged or ended since then is as the record says', () => {
    const { saved, ledger, events } = raised(checkOf('raise'));
    const id = events[0]?.alertId ?? '';
    const done = ledger.act(id, { type: 'acknowledge' }, 'Kim', START_MS + 1000);
    if ('problem' in done) throw new Error(done.problem);
    const acknowledged = [...events, ...done.events];

    const second = new Ledger(json(saved), acknowledged.length);
    expect(second.recall(openAfter(acknowledged), LATER_MS)).toMatchObject([
      { seq: 3, type: 'taken up', alert: { id, acknowledgedBy: 'Kim' } },
    ]);

    const ended = ledger.run([checkOf('clear')], START_MS + 2000, 1000, 'aboard');
    const all = [...acknowledged, ...ended];
    const third = new Ledger(json(saved), all.length);
    expect(third.recall(openAfter(all), LATER_MS)).toEqual([]);
    expect(third.open()).toEqual([]);
  });

  test('what is as the record says is left alone', () => {
    const { saved, events } = raised(checkOf('raise'));
    const behind = new Ledger(json(saved), events.length + 5);
    expect(behind.recall(openAfter(events), LATER_MS)).toEqual([]);
    expect(behind.open()).toMatchObject([{ isHeld: false }]);
  });
});

test('a record that is older than what was saved takes nothing away', () => {
  const { saved } = raised(checkOf('raise'));
  const ledger = new Ledger(json(saved), 0);
  expect(ledger.recall([], LATER_MS)).toEqual([]);
  expect(ledger.open()).toHaveLength(1);
});
