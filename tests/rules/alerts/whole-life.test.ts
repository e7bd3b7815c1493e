/**
 * The life of an alert in the ledger, one story a test: told again until somebody acknowledges,
 * put away and back, held while it chatters, many told as one. Times are those of `life-times.ts`.
 */
import { describe, expect, test } from 'vitest';
import type { Act, Alert, AlertEvent, Priority } from '../../../rules/alerts/alert.ts';
import type { Check, Verdict } from '../../../rules/alerts/check.ts';
import { Ledger } from '../../../rules/alerts/ledger.ts';
import type { SavedLedger } from '../../../rules/alerts/ledger.ts';

const SECOND_MS = 1000;
const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;

interface Shape {
  key?: string;
  priority?: Priority;
  needsInspection?: true;
}

function checkOf(
  verdict: Verdict,
  { key = 'leak.bilge', priority = 'alarm', ...more }: Shape,
): Check {
  return {
    rule: key,
    key,
    levels: [{ priority, verdict, onDelayMs: 0 }],
    offDelayMs: 0,
    describe: (reached) => ({
      rule: key,
      subject: { part: 'bilge' },
      priority: reached,
      title: `${key} holds`,
      means: '.',
      doThis: '.',
      cautions: [],
      evidence: [],
      confidence: 'measured',
      points: [],
      ...more,
    }),
  };
}

/** A ledger with a clock of its own and one condition. */
class Boat {
  ledger = new Ledger({}, 0);
  nowMs = 1_700_000_000_000;
  readonly startMs = this.nowMs;
  readonly events: AlertEvent[] = [];
  readonly #shape: Shape;
  #verdict: Verdict = 'clear';

  constructor(shape: Shape = {}) {
    this.#shape = shape;
  }

  /** Evaluates with this verdict now. */
  sees(verdict: Verdict): this {
    this.#verdict = verdict;
    return this.waits(0);
  }

  /** Lets time pass, an evaluation a second, with what was seen last. */
  waits(ms: number, stepMs = SECOND_MS): this {
    const endMs = this.nowMs + ms;
    do {
      const passedMs = Math.min(stepMs, endMs - this.nowMs);
      this.nowMs += passedMs;
      const checks = [checkOf(this.#verdict, this.#shape)];
      this.events.push(...this.ledger.run(checks, this.nowMs, passedMs, 'aboard'));
    } while (this.nowMs < endMs);
    return this;
  }

  does(act: Act, by = 'Ann'): string | null {
    const outcome = this.ledger.act(this.alert.id, act, by, this.nowMs);
    if ('problem' in outcome) return outcome.problem;
    this.events.push(...outcome.events);
    return null;
  }

  /** Stops, is off for so long, and starts again from what it saved. */
  restarts(offMs = 0): this {
    const saved: SavedLedger = JSON.parse(JSON.stringify(this.ledger.save()));
    this.nowMs += offMs;
    this.ledger = new Ledger(saved, 0);
    return this.waits(0);
  }

  get alert(): Alert {
    const [alert] = this.ledger.open();
    if (!alert) throw new Error('no alert is open');
    return alert;
  }

  get isQuiet(): boolean {
    return this.ledger.open().length === 0;
  }

  /** Seconds after the start and what happened, since the last time this was asked. */
  told(): string[] {
    return this.events.splice(0).map(({ atMs, type, alert }) => {
      const step = type === 'escalated' ? ` ${alert.escalation?.step}` : '';
      return `${(atMs - this.startMs) / 1000} ${type}${step}`;
    });
  }
}

const typesOf = (told: readonly string[]): string[] => told.map((own) => own.replace(/^\S+ /, ''));

describe('nobody acknowledges', () => {
  test('an emergency at night is told again: sound, second person, everybody, then ever more seldom', () => {
    const boat = new Boat({ priority: 'emergency alarm' }).sees('raise').waits(40 * MINUTE_MS);
    expect(boat.told()).toEqual([
      '0 raised',
      '30 escalated 1',
      '120 escalated 2',
      '300 escalated 3',
      '600 escalated 4',
      '1200 escalated 5',
      '2400 escalated 6',
    ]);
    // Never further apart than an hour; an alarm four hours.
    boat.waits(12 * HOUR_MS, MINUTE_MS);
    expect(boat.told().length).toBeGreaterThanOrEqual(11);
    const alarm = new Boat().sees('raise').waits(40 * MINUTE_MS);
    expect(alarm.told()).toHaveLength(7);
    alarm.waits(12 * HOUR_MS, MINUTE_MS);
    expect(alarm.told()).toHaveLength(4);
  });

  test('one person who acknowledges, anywhere, ends it for all', () => {
    const boat = new Boat({ priority: 'emergency alarm' }).sees('raise').waits(2 * MINUTE_MS);
    expect(boat.does({ type: 'acknowledge' }, 'Ben')).toBeNull();
    boat.told();
    boat.waits(23 * HOUR_MS, MINUTE_MS);
    expect(boat.told()).toEqual([]);
    expect(boat.alert).toMatchObject({ phase: 'acknowledged', acknowledgedBy: 'Ben' });
    expect(boat.alert).not.toHaveProperty('escalation');
  });

  test('what has stood for a day after that has to be acknowledged anew', () => {
    const boat = new Boat().sees('raise');
    boat.does({ type: 'acknowledge' });
    boat.told();
    boat.waits(DAY_MS, MINUTE_MS);
    expect(boat.told()).toEqual(['86400 re-alarmed']);
    expect(boat.alert).toMatchObject({ phase: 'unacknowledged', acknowledgedBy: null });
    boat.waits(30 * SECOND_MS);
    expect(boat.told()).toEqual(['86430 escalated 1']);
  });

  test('warnings and cautions are not told again', () => {
    for (const priority of ['warning', 'caution'] as const) {
      const boat = new Boat({ priority }).sees('raise').waits(9 * HOUR_MS, MINUTE_MS);
      expect(boat.told()).toEqual(['0 raised']);
    }
  });

  test('it ends when the condition is over, and one that comes and goes does not begin anew', () => {
    const boat = new Boat().sees('raise').waits(20 * SECOND_MS);
    boat
      .sees('clear')
      .waits(5 * SECOND_MS)
      .sees('raise')
      .waits(10 * SECOND_MS);
    expect(boat.told()).toEqual(['0 raised', '20 returned', '25 raised', '30 escalated 1']);
    boat.sees('clear').waits(HOUR_MS, MINUTE_MS);
    expect(typesOf(boat.told())).toEqual(['returned']);
    boat.sees('raise').waits(29 * SECOND_MS);
    expect(typesOf(boat.told())).toEqual(['raised']);
  });
});

describe('the steps over a restart', () => {
  test('a quick one changes nothing', () => {
    const boat = new Boat()
      .sees('raise')
      .waits(100 * SECOND_MS)
      .restarts();
    boat.waits(20 * SECOND_MS);
    expect(boat.told()).toEqual(['0 raised', '30 escalated 1', '120 escalated 2']);
  });

  test('a short break counts, but what became due in it waits ten seconds for the sensors', () => {
    const boat = new Boat()
      .sees('raise')
      .waits(31 * SECOND_MS)
      .restarts(10 * MINUTE_MS);
    boat.told();
    boat.waits(9 * SECOND_MS);
    expect(boat.told()).toEqual([]);
    boat.waits(SECOND_MS);
    expect(typesOf(boat.told())).toEqual(['escalated 2']);
    const over = new Boat()
      .sees('raise')
      .waits(31 * SECOND_MS)
      .restarts(10 * MINUTE_MS);
    over.told();
    over.sees('clear').waits(MINUTE_MS);
    expect(typesOf(over.told())).toEqual(['returned']);
  });

  test('a clock that is a day ahead after a restart fires nothing: the steps go on where they were', () => {
    const boat = new Boat()
      .sees('raise')
      .waits(60 * SECOND_MS)
      .restarts(DAY_MS);
    boat.told();
    boat.waits(59 * SECOND_MS);
    expect(boat.told()).toEqual([]);
    boat.waits(SECOND_MS);
    expect(typesOf(boat.told())).toEqual(['escalated 2']);
    const seen = new Boat().sees('raise');
    seen.does({ type: 'acknowledge' });
    seen.restarts(DAY_MS).told();
    seen.waits(HOUR_MS, MINUTE_MS);
    expect(seen.told()).toEqual([]);
  });

  test('a clock that goes back a day stands still until it has caught up, and fires nothing', () => {
    const boat = new Boat()
      .sees('raise')
      .waits(20 * SECOND_MS)
      .restarts(-DAY_MS);
    boat.told();
    boat.waits(MINUTE_MS);
    expect(boat.told()).toEqual([]);
  });

  test('restarts every twenty seconds cannot put it off', () => {
    const boat = new Boat().sees('raise');
    for (let time = 0; time < 30; time += 1) boat.waits(15 * SECOND_MS).restarts(5 * SECOND_MS);
    expect(boat.told().slice(0, 4)).toEqual([
      '0 raised',
      '30 escalated 1',
      '120 escalated 2',
      '300 escalated 3',
    ]);
  });
});

describe('silence', () => {
  test('is no acknowledgement, ends by itself, and does not stop the steps', () => {
    const boat = new Boat().sees('raise').waits(10 * SECOND_MS);
    expect(boat.does({ type: 'silence' })).toBeNull();
    expect(boat.alert).toMatchObject({ phase: 'unacknowledged', silenced: { by: 'Ann' } });
    boat.waits(50 * SECOND_MS);
    expect(boat.told()).toEqual(['0 raised', '10 silenced', '30 escalated 1', '40 silence over']);
  });

  test('of a warning lasts five minutes', () => {
    const boat = new Boat({ priority: 'warning' }).sees('raise');
    boat.does({ type: 'silence' });
    boat.waits(6 * MINUTE_MS);
    expect(boat.told()).toEqual(['0 raised', '0 silenced', '300 silence over']);
  });
});

describe('shelved', () => {
  const shelve = (boat: Boat, ms: number): string | null =>
    boat.does({ type: 'shelve', untilMs: boat.nowMs + ms });

  test('it is told to nobody, warns before its end, and comes back to be acknowledged', () => {
    const boat = new Boat().sees('raise');
    boat.does({ type: 'acknowledge' });
    shelve(boat, 2 * HOUR_MS);
    boat.waits(2 * HOUR_MS + MINUTE_MS);
    expect(boat.told()).toEqual([
      '0 raised',
      '0 acknowledged',
      '0 shelved',
      `${115 * 60} shelving ends soon`,
      `${120 * 60} unshelved`,
      `${120 * 60 + 30} escalated 1`,
    ]);
    expect(boat.alert).toMatchObject({ phase: 'unacknowledged', acknowledgedBy: null });
  });

  test('it is judged all the while: over and back stays on the shelf, and over for good is closed', () => {
    const boat = new Boat({ priority: 'caution' }).sees('raise');
    shelve(boat, HOUR_MS);
    const { id } = boat.alert;
    boat.sees('clear').waits(MINUTE_MS).sees('raise').waits(MINUTE_MS);
    expect(boat.alert).toMatchObject({ id, shelved: { by: 'Ann' } });
    boat.sees('clear').waits(HOUR_MS);
    expect(typesOf(boat.told())).toEqual([
      'raised',
      'shelved',
      'returned',
      'raised',
      'returned',
      'shelving ends soon',
      'unshelved',
    ]);
    expect(boat.isQuiet).toBe(true);
  });

  test('an alarm that was over before anyone saw it is there when the shelf is', () => {
    const boat = new Boat().sees('raise');
    shelve(boat, HOUR_MS);
    boat.sees('clear').waits(2 * HOUR_MS, MINUTE_MS);
    expect(boat.alert).toMatchObject({ phase: 'returned', acknowledgedBy: null });
  });

  test('its end outlives a restart, also one that the end falls into', () => {
    const boat = new Boat().sees('raise');
    shelve(boat, HOUR_MS);
    boat.restarts(30 * MINUTE_MS).sees('raise');
    expect(boat.alert.shelved).toBeDefined();
    boat.told();
    boat.restarts(HOUR_MS);
    expect(typesOf(boat.told())).toEqual(['unshelved']);
  });
});

test('out of service has no end, but a day of review, told daily from then on', () => {
  const boat = new Boat().sees('raise');
  const reviewAtMs = boat.nowMs + 3 * DAY_MS;
  boat.does({ type: 'take out of service', reason: 'clamp is off', reviewAtMs }, 'Tess');
  boat.waits(5 * DAY_MS, HOUR_MS);
  expect(typesOf(boat.told())).toEqual([
    'raised',
    'out of service',
    'review due',
    'review due',
    'review due',
  ]);
  expect(boat.alert.outOfService).toMatchObject({ by: 'Tess', reason: 'clamp is off' });
  expect(boat.does({ type: 'shelve', untilMs: boat.nowMs + 1 })).toMatch(/out of service/);
  boat.does({ type: 'put back in service' }, 'Tess');
  expect(boat.alert).toMatchObject({ phase: 'unacknowledged', escalation: { step: 0 } });
});

test('what is put away comes back at once when it gets worse than was known', () => {
  const levels = (grave: Verdict): Check => {
    const own = checkOf('raise', { priority: 'warning' });
    const worse = { priority: 'alarm', verdict: grave, onDelayMs: 0 } as const;
    return { ...own, levels: [worse, ...own.levels] };
  };
  const acts: Act[] = [
    { type: 'acknowledge' },
    { type: 'shelve', untilMs: 1000 + HOUR_MS },
    { type: 'take out of service', reason: 'test', reviewAtMs: 1000 + HOUR_MS },
  ];
  for (const act of acts) {
    const ledger = new Ledger({}, 0);
    ledger.run([levels('clear')], 1000, 0, 'aboard');
    ledger.act(ledger.open()[0]?.id ?? '', act, 'Ann', 1000);
    const [event] = ledger.run([levels('raise')], 2000, 1000, 'aboard');
    expect(event).toMatchObject({ type: 'priority changed', alert: { phase: 'unacknowledged' } });
    expect(event?.alert).not.toHaveProperty('shelved');
    expect(event?.alert).not.toHaveProperty('outOfService');
  }
});

test('what needs a look is latched until somebody says that they have looked', () => {
  const boat = new Boat({ needsInspection: true }).sees('raise');
  boat.does({ type: 'acknowledge' });
  boat.sees('clear').waits(DAY_MS, HOUR_MS);
  expect(boat.alert).toMatchObject({ phase: 'latched', acknowledgedBy: 'Ann' });
  const { id } = boat.alert;
  // It may come again, and is the same one.
  boat.sees('raise');
  expect(boat.alert).toMatchObject({ id, phase: 'unacknowledged' });
  boat.sees('clear');
  boat.does({ type: 'acknowledge' });
  expect(boat.alert.phase).toBe('latched');
  expect(boat.does({ type: 'inspect' }, 'Tess')).toBeNull();
  expect(boat.isQuiet).toBe(true);
  expect(boat.events.at(-1)).toMatchObject({ type: 'inspected', actor: 'Tess' });
});

describe('chattering', () => {
  /** On and off, `times` times, a minute each. */
  const chatters = (boat: Boat, times: number): Boat => {
    for (let time = 0; time < times; time += 1) {
      boat
        .sees('raise')
        .waits(MINUTE_MS - 1000)
        .sees('clear')
        .waits(MINUTE_MS - 1000);
    }
    return boat;
  };

  test('the third time that it comes again within an hour it is held, and that is said once', () => {
    const boat = chatters(new Boat({ priority: 'caution' }), 8);
    const types = typesOf(boat.told());
    expect(types.filter((type) => type === 'raised')).toHaveLength(4);
    expect(types.slice(-2)).toEqual(['raised', 'chattering']);
    expect(boat.alert.chattering).toMatchObject({ times: 8 });
  });

  test('it is counted over restarts', () => {
    const boat = new Boat({ priority: 'caution' });
    for (let time = 0; time < 4; time += 1) chatters(boat, 1).restarts();
    expect(typesOf(boat.told()).filter((type) => type === 'chattering')).toHaveLength(1);
  });

  test('five quiet minutes end it; silence of the sensor is not quiet', () => {
    const boat = chatters(new Boat({ priority: 'caution' }), 4);
    boat.told();
    boat.sees('unknown').waits(10 * MINUTE_MS);
    expect(typesOf(boat.told())).toEqual(['held']);
    boat.sees('clear').waits(4 * MINUTE_MS);
    expect(typesOf(boat.told())).toEqual(['resumed']);
    boat.waits(MINUTE_MS);
    expect(typesOf(boat.told())).toEqual(['returned']);
    expect(boat.isQuiet).toBe(true);
  });

  test('what comes once in half an hour is no chatter', () => {
    const boat = new Boat({ priority: 'caution' });
    for (let time = 0; time < 6; time += 1) {
      boat
        .sees('raise')
        .waits(MINUTE_MS)
        .sees('clear')
        .waits(29 * MINUTE_MS, MINUTE_MS);
    }
    expect(typesOf(boat.told())).not.toContain('chattering');
  });
});

describe('a flood', () => {
  const many = (count: number, verdict: Verdict, priority: Priority = 'warning'): Check[] =>
    Array.from({ length: count }, (_, i) => checkOf(verdict, { key: `many.${i}`, priority }));

  test('more than ten new alerts in ten minutes are told in one notice that lists them', () => {
    const ledger = new Ledger({}, 0);
    const ten = ledger.run(many(10, 'raise'), 0, 0, 'aboard');
    expect(ten.map(({ type }) => type)).toEqual(Array(10).fill('raised'));
    const events = ledger.run(many(13, 'raise'), 60_000, 60_000, 'aboard');
    const flood = events.find(({ alert }) => alert.rule === 'alert-flood');
    expect(flood).toMatchObject({ type: 'raised', alert: { priority: 'warning' } });
    expect(flood?.alert.symptoms.map(({ key }) => key)).toEqual(
      Array.from({ length: 13 }, (_, i) => `many.${i}`),
    );
    expect(flood?.alert.means).toContain('The first was: many.0 holds.');
    // Those that made it one, and those after it, are told in it; each is on record all the same.
    const others = events.filter(({ alert }) => alert.rule !== 'alert-flood');
    expect(others.map(({ alert }) => alert.inFlood)).toEqual(Array(3).fill(flood?.alertId));
    expect(ledger.open()).toHaveLength(14);
    const later = ledger.run(many(15, 'raise'), 120_000, 60_000, 'aboard');
    expect(later.filter(({ type }) => type === 'raised')).toHaveLength(2);
    expect(later.at(-1)).toMatchObject({ type: 'symptom joined', alertId: flood?.alertId });
  });

  test('what is urgent is told by itself all the same', () => {
    const ledger = new Ledger({}, 0);
    const events = ledger.run(
      [...many(11, 'raise'), checkOf('raise', { priority: 'alarm' })],
      0,
      0,
      'aboard',
    );
    const urgent = events.find(({ alert }) => alert.priority === 'alarm');
    expect(urgent?.alert).not.toHaveProperty('inFlood');
    expect(events.filter(({ alert }) => alert.inFlood !== undefined)).toHaveLength(11);
  });

  test('it is counted over restarts', () => {
    const ledger = new Ledger({}, 0);
    ledger.run(many(10, 'raise'), 0, 0, 'aboard');
    const saved: SavedLedger = JSON.parse(JSON.stringify(ledger.save()));
    const events = new Ledger(saved, 0).run(many(11, 'raise'), 1000, 1000, 'aboard');
    expect(events.map(({ alert }) => alert.rule)).toContain('alert-flood');
  });

  test('it is over when fewer than five came in ten minutes', () => {
    const ledger = new Ledger({}, 0);
    ledger.run(many(11, 'raise'), 0, 0, 'aboard');
    const isFlood = (): boolean =>
      ledger.open().some(({ rule, phase }) => rule === 'alert-flood' && phase !== 'returned');
    ledger.run(many(11, 'raise'), 599_000, 1000, 'aboard');
    expect(isFlood()).toBe(true);
    ledger.run(many(11, 'raise'), 600_000, 1000, 'aboard');
    expect(isFlood()).toBe(false);
  });
});

describe('suppressed by design', () => {
  const cause = (verdict: Verdict): Check => ({
    ...checkOf(verdict, { key: 'cause.a' }),
    explains: ['effect'],
  });
  const effect = (verdict: Verdict): Check => checkOf(verdict, { key: 'effect.b' });

  test('a symptom that joins later is on record in the alert of its cause', () => {
    const ledger = new Ledger({}, 0);
    ledger.run([cause('raise'), effect('clear')], 0, 0, 'aboard');
    const joined = ledger.run([cause('raise'), effect('raise')], 1000, 1000, 'aboard');
    expect(joined).toMatchObject([
      { type: 'symptom joined', alert: { rule: 'cause.a', symptoms: [{ key: 'effect.b' }] } },
    ]);
    expect(ledger.run([cause('raise'), effect('raise')], 2000, 1000, 'aboard')).toEqual([]);
  });

  test('an alert that is told with its cause from then on says with which', () => {
    const ledger = new Ledger({}, 0);
    ledger.run([cause('clear'), effect('raise')], 0, 0, 'aboard');
    const events = ledger.run([cause('raise'), effect('raise')], 1000, 1000, 'aboard');
    const [raised, folded] = events;
    expect(raised).toMatchObject({ type: 'raised', alert: { symptoms: [{ key: 'effect.b' }] } });
    expect(folded).toMatchObject({
      type: 'folded',
      alert: { phase: 'closed', ended: { why: 'told with its cause', cause: raised?.alertId } },
    });
  });

  test('what a mode ends and what is no longer watched says so', () => {
    const aboard: Check = { ...effect('raise'), modes: ['aboard'] };
    const ledger = new Ledger({}, 0);
    ledger.run([aboard], 0, 0, 'aboard');
    const [byMode] = ledger.run([aboard], 1000, 1000, 'away');
    expect(byMode?.alert).toMatchObject({ ended: { why: 'not told in this mode' } });
    ledger.run([aboard], 2000, 1000, 'aboard');
    const [gone] = ledger.run([], 3000, 1000, 'aboard');
    expect(gone?.alert).toMatchObject({ phase: 'closed', ended: { why: 'no longer watched' } });
  });
});
