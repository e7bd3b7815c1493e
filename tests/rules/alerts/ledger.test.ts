/** Causes and their symptoms, modes, and what a restart keeps: the ledger by itself. */
import { describe, expect, test } from 'vitest';
import { Ledger } from '../../../rules/alerts/ledger.ts';
import type { Check, Verdict } from '../../../rules/alerts/check.ts';
import type { Mode } from '../../../rules/alerts/alert.ts';

function check(key: string, verdict: Verdict, more: Partial<Check> = {}): Check {
  return {
    rule: key.split('.')[0] ?? key,
    key,
    levels: [{ priority: 'warning', verdict, onDelayMs: 0 }],
    offDelayMs: 2000,
    describe: (priority) => ({
      rule: key,
      subject: { part: 'a' },
      priority,
      title: `${key} holds`,
      means: '.',
      doThis: '.',
      cautions: [],
      evidence: [],
      confidence: 'measured',
      points: [],
    }),
    ...more,
  };
}

/** Runs evaluations a second apart; returns the event types with keys, by evaluation. */
function play(ledger: Ledger, rounds: Check[][], mode: Mode = 'aboard', fromMs = 0): string[][] {
  return rounds.map((checks, i) =>
    ledger
      .run(checks, fromMs + i * 1000, 1000, mode)
      .map((event) => `${event.type} ${event.alertId.replace(/\.\d+$/, '')}`),
  );
}

const cause = (verdict: Verdict) => check('cause.a', verdict, { explains: ['effect', 'other.b'] });
const effect = (verdict: Verdict) => check('effect.x', verdict);

describe('causes and symptoms', () => {
  test('a symptom of a standing cause is told inside it, not by itself', () => {
    const ledger = new Ledger({}, 0);
    expect(play(ledger, [[effect('raise'), cause('raise')]])).toEqual([['raised cause.a']]);
    expect(ledger.open()).toHaveLength(1);
    expect(ledger.open()[0]?.symptoms).toEqual([{ key: 'effect.x', title: 'effect.x holds' }]);
  });

  test('one that was told before its cause was known is folded into it', () => {
    const ledger = new Ledger({}, 0);
    const rounds = [
      [effect('raise'), cause('clear')],
      [effect('raise'), cause('raise')],
    ];
    expect(play(ledger, rounds)).toEqual([
      ['raised effect.x'],
      ['raised cause.a', 'folded effect.x'],
    ]);
    expect(ledger.open().map((alert) => alert.rule)).toEqual(['cause.a']);
  });

  test('what outlives the cause is told after its own delay, what recovers with it never', () => {
    const slow = (verdict: Verdict): Check => ({
      ...effect(verdict),
      levels: [{ priority: 'warning', verdict, onDelayMs: 2000 }],
    });
    const ledger = new Ledger({}, 0);
    const both = [slow('raise'), cause('raise')];
    const over = [slow('raise'), cause('clear')];
    const told = play(ledger, [both, both, over, over, over, over, over, over]);
    expect(told.flat()).toEqual(['raised cause.a', 'returned cause.a', 'raised effect.x']);

    const together = new Ledger({}, 0);
    const well = [slow('clear'), cause('clear')];
    const recovered = play(together, [both, both, well, well, well, well]);
    expect(recovered.flat()).toEqual(['raised cause.a', 'returned cause.a']);
  });

  test('a name covers a rule, or a rule and its subject, never half a word', () => {
    const ledger = new Ledger({}, 0);
    const others = [
      check('effects.x', 'raise'),
      check('other.b', 'raise'),
      check('other.bb', 'raise'),
    ];
    const [told] = play(ledger, [[cause('raise'), ...others]]);
    expect(told).toEqual(['raised cause.a', 'raised effects.x', 'raised other.bb']);
  });
});

describe('modes', () => {
  test('a check of another mode neither raises nor stays', () => {
    const only = check('left-on.a', 'raise', { modes: ['away'] });
    const ledger = new Ledger({}, 0);
    expect(play(ledger, [[only], [only]], 'aboard').flat()).toEqual([]);
    expect(play(ledger, [[only]], 'away', 2000).flat()).toEqual(['raised left-on.a']);
    expect(ledger.open()[0]?.mode).toBe('away');
    const back = play(ledger, [[only], [only], [only]], 'aboard', 3000);
    expect(back).toEqual([['closed left-on.a'], [], []]);
    expect(play(ledger, [[only]], 'away', 6000).flat()).toEqual(['raised left-on.a']);
  });

  test('a level of another mode leaves the others of its check to speak', () => {
    const graver = check('sensor.a', 'raise', {
      levels: [
        { priority: 'alarm', verdict: 'raise', onDelayMs: 0, modes: ['away'] },
        { priority: 'warning', verdict: 'raise', onDelayMs: 0 },
      ],
    });
    const ledger = new Ledger({}, 0);
    expect(play(ledger, [[graver]], 'aboard').flat()).toEqual(['raised sensor.a']);
    expect(ledger.open()[0]?.priority).toBe('warning');
    play(ledger, [[graver]], 'away', 1000);
    expect(ledger.open()[0]?.priority).toBe('alarm');
    expect(play(ledger, [[graver]], 'aboard', 2000).flat()).toEqual(['priority changed sensor.a']);
    expect(ledger.open()[0]?.priority).toBe('warning');
  });

  test('on-delays begin anew after a mode in which nothing was said', () => {
    const slow = check('left-on.a', 'raise', {
      modes: ['away'],
      levels: [{ priority: 'warning', verdict: 'raise', onDelayMs: 2000 }],
    });
    const ledger = new Ledger({}, 0);
    play(ledger, [[slow], [slow]], 'away');
    play(ledger, [[slow]], 'aboard', 2000);
    expect(play(ledger, [[slow], [slow], [slow]], 'away', 3000)).toEqual([
      [],
      [],
      ['raised left-on.a'],
    ]);
  });

  test('a cause of another mode explains nothing, and a quiet symptom is not listed', () => {
    const away = check('cause.a', 'raise', { modes: ['away'], explains: ['effect'] });
    const ledger = new Ledger({}, 0);
    expect(play(ledger, [[away, effect('raise')]]).flat()).toEqual(['raised effect.x']);
    const quiet = check('effect.x', 'raise', { modes: ['aboard'] });
    const other = new Ledger({}, 0);
    play(other, [[away, quiet]], 'away');
    expect(other.open().map((alert) => alert.symptoms)).toEqual([[]]);
  });
});

describe('the record', () => {
  test('numbers go on over a restart, and from the record where that is newer', () => {
    const first = new Ledger({}, 0);
    play(first, [[effect('raise')]]);
    const saved: unknown = JSON.parse(JSON.stringify(first.save()));
    const second = new Ledger(saved as ReturnType<Ledger['save']>, 0);
    const [event] = second
      .run([effect('clear')], 5000, 1000, 'aboard')
      .concat(second.run([effect('clear')], 8000, 3000, 'aboard'));
    expect(event).toMatchObject({ seq: 2, type: 'returned', alertId: 'effect.x.1' });
    const third = new Ledger({}, 41);
    expect(third.run([effect('raise')], 0, 0, 'aboard')[0]).toMatchObject({
      seq: 42,
      alertId: 'effect.x.42',
    });
  });

  test('an alert whose check is gone is closed', () => {
    const ledger = new Ledger({}, 0);
    expect(play(ledger, [[effect('raise')], []])).toEqual([
      ['raised effect.x'],
      ['closed effect.x'],
    ]);
  });
});
