import { describe, expect, test } from 'vitest';
import type { Letter, PanelState } from '../../../rules/index.ts';
import { ann, emptyPanel, finding, HOUR_MS, MINUTE_MS, NOON_MS, Stage } from './telling-stage.ts';
import type { Holding } from './telling-stage.ts';

const headlines = (letters: readonly Letter[]): string[] => letters.map((own) => own.headline);
const SECOND_MS = 1000;
/** Midnight of 1 June 2026 in Amsterdam. */
const MIDNIGHT_MS = NOON_MS - 12 * HOUR_MS;

describe('priorities and modes', () => {
  test.each([
    ['caution', 'aboard', 0],
    ['caution', 'away', 0],
    ['warning', 'away', 1],
    ['alarm', 'aboard', 1],
    ['emergency alarm', 'under way', 1],
    ['alarm', 'work in progress', 0],
    ['emergency alarm', 'work in progress', 1],
  ] as const)('a %s while %s makes %i letters', (priority, mode, count) => {
    const stage = new Stage({ ann: ann() });
    stage.mode = mode;
    const letters = stage.hold({ a: priority }, 31 * SECOND_MS);
    expect(letters.filter((own) => !own.headline.includes('acknowledged'))).toHaveLength(count);
  });

  test('a contact may want cautions too, or only be told while nobody is aboard', () => {
    const stage = new Stage({ ann: ann({ priority: 'caution', modes: ['away'] }) });
    expect(stage.hold({ a: 'caution' }, MINUTE_MS)).toEqual([]);
    stage.mode = 'away';
    expect(stage.hold({ a: 'caution' }, 31 * SECOND_MS)).toHaveLength(1);
  });

  test('what stayed aboard during work is told if it still stands after it', () => {
    const stage = new Stage({ ann: ann() });
    stage.mode = 'work in progress';
    expect(stage.hold({ a: 'alarm', b: 'alarm' }, HOUR_MS, MINUTE_MS)).toEqual([]);
    stage.hold({ a: 'alarm' }, 5 * SECOND_MS);
    stage.mode = 'aboard';
    expect(headlines(stage.hold({ a: 'alarm' }, 10 * SECOND_MS))).toEqual([
      'Sable Plover: Title of a, since 12:01',
    ]);
  });

  test('each way of a contact carries the letter, under a key of its own', () => {
    const stage = new Stage({ ann: ann({ ways: ['mail', 'push'] }) });
    const letters = stage.hold({ a: 'alarm' }, 10 * SECOND_MS);
    expect(letters.map(({ way, key }) => [way, key])).toEqual([
      ['mail', 'alert.ann.mail.a.1.1'],
      ['push', 'alert.ann.push.a.1.1'],
    ]);
  });
});

describe('what is put away tells nobody', () => {
  test('shelved at once, and told when it comes back', () => {
    const stage = new Stage({ ann: ann() });
    stage.hold({ a: 'warning' }, 10 * SECOND_MS);
    stage.act('a', { type: 'shelve', untilMs: stage.nowMs + HOUR_MS });
    expect(stage.hold({ a: 'warning' }, HOUR_MS - SECOND_MS, 10 * SECOND_MS)).toEqual([]);
    expect(stage.hold({ a: 'warning' }, 40 * SECOND_MS)).toHaveLength(1);
  });

  test('shelved and calmer when it comes back, it is not told anew, but its end is', () => {
    const stage = new Stage({ ann: ann() });
    stage.hold({ a: 'alarm' }, 10 * SECOND_MS);
    stage.act('a', { type: 'shelve', untilMs: stage.nowMs + HOUR_MS });
    expect(stage.hold({ a: 'caution' }, 2 * HOUR_MS, 10 * SECOND_MS)).toEqual([]);
    expect(headlines(stage.hold({}, MINUTE_MS))).toEqual([
      'Sable Plover: over: Title of a, at 14:00 after 2 h',
    ]);
  });

  test('waiting for an inspection, it is not said to be over when its cause is known', () => {
    const stage = new Stage({ ann: ann() });
    stage.explains = { cause: ['symptom'] };
    const symptom = finding('symptom', 'alarm', { needsInspection: true });
    stage.hold({ symptom }, 10 * SECOND_MS);
    const letters = stage.hold({ cause: 'alarm', symptom }, 65 * SECOND_MS);
    expect(letters[0]?.headline).toBe('Sable Plover: Title of cause, since 12:00 and 1 more');
    expect(letters[0]?.text).toContain('Title of symptom, told with its cause from here on.');
    expect(letters[0]?.text).not.toContain('over: Title of symptom');
  });

  test('out of service, it is not told as over until it is back in service', () => {
    const stage = new Stage({ ann: ann() });
    expect(stage.hold({ a: 'alarm' }, 10 * SECOND_MS)).toHaveLength(1);
    const reviewAtMs = stage.nowMs + 24 * HOUR_MS;
    stage.act('a', { type: 'take out of service', reason: 'new charger comes', reviewAtMs });
    expect(stage.hold({}, HOUR_MS, MINUTE_MS)).toEqual([]);
    stage.act('a', { type: 'put back in service' });
    expect(headlines(stage.hold({}, MINUTE_MS))).toEqual([
      'Sable Plover: over: Title of a, at 12:01 after 69 s',
    ]);
  });

  test('of a flood the one notice is told, and whatever is urgent', () => {
    const stage = new Stage({ ann: ann() });
    const many: Holding = Object.fromEntries(
      Array.from({ length: 14 }, (_, n) => [`w${n}`, 'warning'] as const),
    );
    const letters = stage.hold({ ...many, grave: 'alarm' }, 2 * MINUTE_MS);
    const told = letters.flatMap(({ about }) => about.map(({ alertId }) => alertId));
    expect(told.filter((id) => id.startsWith('w'))).toEqual([]);
    const keys = new Set(told.map((id) => id.replace(/\.\d+$/, '')));
    expect(keys).toEqual(new Set(['alert-flood', 'grave']));
  });

  test('a symptom that was told already is told no more once its cause is known', () => {
    const stage = new Stage({ ann: ann() });
    stage.explains = { cause: ['symptom'] };
    expect(stage.hold({ symptom: 'alarm' }, 10 * SECOND_MS)).toHaveLength(1);
    const both = stage.hold({ cause: 'alarm', symptom: 'alarm' }, 65 * SECOND_MS);
    expect(both.map(({ about }) => about.map(({ title }) => title))).toEqual([['Title of cause']]);
    const over = stage.hold({}, 70 * SECOND_MS);
    expect(over.at(-1)?.headline).toContain('over: Title of cause');
    expect(over.flatMap(({ about }) => about.map(({ title }) => title))).not.toContain(
      'Title of symptom',
    );
  });

  test('who was told of a symptom hears when its cause is over, though it is but a caution', () => {
    const stage = new Stage({ ann: ann() });
    stage.explains = { cause: ['symptom'] };
    stage.hold({ symptom: 'alarm' }, 10 * SECOND_MS);
    expect(stage.hold({ cause: 'caution', symptom: 'alarm' }, 10 * MINUTE_MS, 5000)).toEqual([]);
    expect(headlines(stage.hold({}, MINUTE_MS))).toEqual([
      'Sable Plover: over: Title of cause, at 12:10 after 10 min',
    ]);
  });
});

describe('quiet hours', () => {
  const quiet = { from: '22:30', to: '07:00' };

  test('warnings wait until the end and come as one; alarms pass', () => {
    const stage = new Stage({ ann: ann({ quiet }) }, MIDNIGHT_MS);
    const night = stage.hold({ a: 'warning', b: 'warning' }, 2 * HOUR_MS, 10 * SECOND_MS);
    expect(night).toEqual([]);
    expect(stage.hold({ a: 'warning', b: 'warning', c: 'alarm' }, 10_000)).toHaveLength(1);
    stage.act('c', { type: 'acknowledge' });
    stage.hold({ a: 'warning', b: 'warning' }, 5 * HOUR_MS - 20 * SECOND_MS, 10 * SECOND_MS);
    const morning = stage.hold({ a: 'warning', b: 'warning' }, MINUTE_MS);
    expect(headlines(morning)).toEqual(['Sable Plover: Title of a, since 00:00 and 1 more']);
    expect(morning[0]?.writtenAtMs).toBe(MIDNIGHT_MS + 7 * HOUR_MS);
  });

  test('warnings that came and went are counted in the letter that comes anyway', () => {
    const stage = new Stage({ ann: ann({ quiet }) }, MIDNIGHT_MS);
    stage.hold({ a: 'warning', b: 'warning' }, HOUR_MS, 10 * SECOND_MS);
    stage.hold({ b: 'warning' }, 6 * HOUR_MS - MINUTE_MS, 10 * SECOND_MS);
    const morning = stage.hold({ b: 'warning' }, 2 * MINUTE_MS);
    expect(headlines(morning)).toEqual(['Sable Plover: Title of b, since 00:00']);
    expect(morning[0]?.text).toContain('\n1 warning came and went meanwhile.');
  });

  /** 25 October 2026: at 03:00 summer time clocks go back to 02:00. */
  test('end by the wall clock on the night when clocks go back', () => {
    const stage = new Stage({ ann: ann({ quiet }) }, Date.UTC(2026, 9, 24, 22));
    const [letter] = stage.hold({ a: 'warning' }, 10 * HOUR_MS, 30 * SECOND_MS);
    expect(letter?.writtenAtMs).toBe(Date.UTC(2026, 9, 25, 6));
  });

  /** 29 March 2026: at 02:00 clocks go forward to 03:00. */
  test('end by the wall clock on the night when clocks go forward', () => {
    const stage = new Stage({ ann: ann({ quiet }) }, Date.UTC(2026, 2, 28, 23));
    const [letter] = stage.hold({ a: 'warning' }, 10 * HOUR_MS, 30 * SECOND_MS);
    expect(letter?.writtenAtMs).toBe(Date.UTC(2026, 2, 29, 5));
  });
});

describe('grouping', () => {
  test('warnings of half a minute are one letter', () => {
    const stage = new Stage({ ann: ann() });
    stage.hold({ a: 'warning' }, 20 * SECOND_MS);
    const letters = stage.hold({ a: 'warning', b: 'warning' }, 5 * MINUTE_MS);
    expect(headlines(letters)).toEqual(['Sable Plover: Title of a, since 12:00 and 1 more']);
    expect(letters[0]).toMatchObject({ kind: 'digest', alertId: null, priority: 'warning' });
    expect(letters[0]?.text).toContain('What b means.');
  });

  test('an alarm waits five seconds, an emergency alarm not one', () => {
    const stage = new Stage({ ann: ann() });
    const [alarm] = stage.hold({ a: 'alarm' }, 10 * SECOND_MS);
    expect(alarm?.writtenAtMs).toBe(NOON_MS + 6 * SECOND_MS);
    const [emergency] = stage.hold({ a: 'alarm', b: 'emergency alarm' }, 1000);
    expect(emergency?.writtenAtMs).toBe(NOON_MS + 11 * SECOND_MS);
  });

  test('a warning that is over before its time is not sent, an alarm is', () => {
    const stage = new Stage({ ann: ann() });
    stage.hold({ a: 'warning', b: 'alarm' }, 3 * SECOND_MS);
    const letters = stage.hold({}, 2 * MINUTE_MS);
    expect(headlines(letters)).toEqual(['Sable Plover: Title of b, was active 12:00 to 12:00']);
  });
});

describe('nobody acknowledges', () => {
  const contacts = {
    ann: ann(),
    ben: ann({ name: 'Ben', told: 'second' }),
    cleo: ann({ name: 'Cleo', told: 'everybody' }),
  };

  test('the first are told again, then the second, then everybody; all hear when it is over', () => {
    const stage = new Stage(contacts);
    stage.hold({ a: 'alarm' }, 20 * MINUTE_MS);
    stage.hold({}, 2 * MINUTE_MS);
    const told = stage.letters.map(({ contact, kind, writtenAtMs }) => [
      contact,
      kind,
      (writtenAtMs - NOON_MS) / SECOND_MS,
    ]);
    expect(told.filter(([contact]) => contact === 'ann')).toEqual([
      ['ann', 'alert', 6],
      ['ann', 'alert', 66],
      ['ann', 'all clear', 1206],
    ]);
    expect(told.filter(([contact]) => contact === 'ben')).toEqual([
      ['ben', 'alert', 126],
      ['ben', 'alert', 306],
      ['ben', 'all clear', 1206],
    ]);
    expect(told.filter(([contact]) => contact === 'cleo')).toEqual([
      ['cleo', 'alert', 306],
      ['cleo', 'alert', 606],
      ['cleo', 'all clear', 1206],
    ]);
  });

  test('somebody does: nobody else is told, and what only repeated it is withdrawn', () => {
    const stage = new Stage(contacts);
    stage.hold({ a: 'alarm' }, 70 * SECOND_MS);
    stage.act('a', { type: 'acknowledge' });
    expect(stage.withdrawn).toEqual(['alert.ann.mail.a.1.2']);
    expect(stage.hold({ a: 'alarm' }, HOUR_MS, 10 * SECOND_MS)).toEqual([]);
    const over = stage.hold({}, MINUTE_MS);
    expect(over.map(({ contact }) => contact)).toEqual(['ann']);
    expect(over[0]?.text).toContain('Acknowledged by Kim at 12:01.');
  });

  test('a warning that is acknowledged before it was due is not sent', () => {
    const stage = new Stage({ ann: ann() });
    stage.hold({ a: 'warning' }, 10 * SECOND_MS);
    stage.act('a', { type: 'acknowledge' });
    expect(stage.hold({ a: 'warning' }, HOUR_MS, 10 * SECOND_MS)).toEqual([]);
    expect(stage.hold({}, HOUR_MS, 10 * SECOND_MS)).toEqual([]);
  });

  test('what got worse is told anew', () => {
    const stage = new Stage({ ann: ann() });
    stage.hold({ a: 'warning' }, 2 * MINUTE_MS);
    expect(headlines(stage.hold({ a: 'alarm' }, 10 * SECOND_MS))).toEqual([
      'Sable Plover: Title of a, since 12:00, now an alarm',
    ]);
  });
});

describe('after a start', () => {
  test('what stands and was never told is told, what was told is not told again', () => {
    const stage = new Stage({ ann: ann() });
    stage.hold({ a: 'warning', b: 'alarm' }, 40 * SECOND_MS);
    stage.act('b', { type: 'acknowledge' });
    stage.restart();
    expect(stage.hold({ a: 'warning', b: 'alarm' }, HOUR_MS, MINUTE_MS)).toEqual([]);
    stage.restartFrom(null);
    expect(headlines(stage.hold({ a: 'warning', b: 'alarm' }, 2 * MINUTE_MS))).toEqual([
      'Sable Plover: Title of a, since 12:00',
    ]);
  });

  test('with a memory older than the alerts, nobody waits for an end that has been', () => {
    const stage = new Stage({ ann: ann() });
    stage.hold({ a: 'alarm' }, 10 * SECOND_MS);
    const { saved } = stage;
    stage.hold({ a: 'alarm' }, 2 * MINUTE_MS);
    stage.act('a', { type: 'acknowledge' });
    stage.hold({}, 2 * MINUTE_MS);
    stage.restartFrom(saved);
    expect(headlines(stage.hold({}, 2 * MINUTE_MS))).toEqual([
      'Sable Plover: Title of a, no longer on the list of alerts',
    ]);
    expect(stage.hold({}, HOUR_MS, MINUTE_MS)).toEqual([]);
  });

  test('whoever has left the settings is not waited for', () => {
    const stage = new Stage({ ann: ann(), ben: ann({ name: 'Ben' }) });
    stage.hold({ a: 'alarm' }, 10 * SECOND_MS);
    const left = new Stage({ ann: ann() }, stage.nowMs);
    left.restartFrom(stage.saved);
    expect(left.hold({}, 2 * MINUTE_MS).map(({ contact }) => contact)).toEqual(['ann']);
    expect(left.saved).not.toContain('ben');
  });
});

describe('the budget', () => {
  test('what is over comes as one letter a minute later', () => {
    const stage = new Stage({ ann: ann() });
    stage.hold({ a: 'alarm' }, 10 * SECOND_MS);
    const rest = { a: 'alarm', b: 'alarm' } as const;
    stage.hold(rest, 10 * SECOND_MS);
    const letters = stage.hold({ ...rest, c: 'alarm' }, 48 * SECOND_MS);
    expect(letters.map(({ about, writtenAtMs }) => [about.length, writtenAtMs - NOON_MS])).toEqual([
      [3, 66_000],
    ]);
  });

  test('twenty an hour; emergency alarms are told all the same', () => {
    const stage = new Stage({ ann: ann() });
    let holding: Record<string, 'alarm' | 'emergency alarm'> = {};
    for (let n = 0; n < 30; n += 1) {
      holding = { [`a${n}`]: 'alarm' };
      stage.hold(holding, 110 * SECOND_MS, 5000);
    }
    const hour = stage.letters.filter(({ writtenAtMs }) => writtenAtMs - NOON_MS < HOUR_MS);
    expect(hour).toHaveLength(20);
    expect(stage.hold({ ...holding, b: 'emergency alarm' }, 1000)).toHaveLength(1);
  });
});

describe('the words', () => {
  test('boat, what, since when; means, do this, cautions, and what panelward is not', () => {
    const stage = new Stage({ ann: ann() });
    const own = finding('a', 'alarm', { cautions: ['Mind the step!'], confidence: 'inferred' });
    const [letter] = stage.hold({ a: own }, 10 * SECOND_MS);
    expect(letter?.text.split('\n')).toEqual([
      'What a means.',
      'Do this: See to a.',
      'Caution: Mind the step!',
      'Inferred from other readings, not measured.',
      '',
      'panelward informs and switches nothing; no message of it proves a circuit dead or a supply safe.',
    ]);
  });

  test('the first line has room for since when, whatever the title', () => {
    const stage = new Stage({ ann: ann() });
    const title = `Shore power lost: ${'a very long name of an inlet '.repeat(9)}!\r\nBcc: x`;
    const [letter] = stage.hold({ a: finding('a', 'alarm', { title }) }, 10 * SECOND_MS);
    expect(letter?.headline.length).toBeLessThanOrEqual(160);
    expect(letter?.headline).toMatch(
      /^Sable Plover: Shore power lost: a very .* (name|of|an|inlet|very|long|a)…, since 12:00$/,
    );
    expect(letter?.headline).not.toMatch(/[!\r\n]/);
  });

  test('an alert that stands since yesterday tells the date', () => {
    const stage = new Stage({ ann: ann({ quiet: { from: '22:30', to: '07:00' } }) });
    stage.hold({}, 11 * HOUR_MS, HOUR_MS);
    const letters = stage.hold({ a: 'warning' }, 9 * HOUR_MS, MINUTE_MS);
    expect(headlines(letters)).toEqual(['Sable Plover: Title of a, since 2026-06-01 23:01']);
  });
});

describe('summaries', () => {
  test('a morning line a day and a summary a week, at their times of the wall clock', () => {
    const wanted = ann({ morningLine: '07:30', weekly: { day: 'sunday', at: '18:00' } });
    const stage = new Stage({ ann: wanted }, MIDNIGHT_MS);
    stage.hold({ a: 'warning' }, 10 * MINUTE_MS, 5000);
    stage.hold({}, 7 * 24 * HOUR_MS, 5 * MINUTE_MS);
    const mornings = stage.letters.filter(({ kind }) => kind === 'morning line');
    expect(mornings).toHaveLength(7);
    expect(mornings[0]?.headline).toBe(
      'Sable Plover: morning line of 2026-06-01: nothing is wrong that panelward sees',
    );
    expect(mornings[0]?.text).toContain('In the last day 1 warning came.');
    expect(mornings[6]?.text).toContain('In the last day no alert came.');
    const weekly = stage.letters.filter(({ kind }) => kind === 'weekly summary');
    expect(weekly.map(({ writtenAtMs }) => writtenAtMs)).toEqual([
      MIDNIGHT_MS + (6 * 24 + 18) * HOUR_MS,
    ]);
    expect(weekly[0]?.text).toContain('2026-06-01 00:00 Title of a.');
  });

  test('after a restart in the afternoon there is no morning line any more', () => {
    const stage = new Stage({ ann: ann({ morningLine: '07:30' }) });
    expect(stage.hold({}, HOUR_MS, MINUTE_MS)).toEqual([]);
  });
});

describe('the end of a loss of shore power', () => {
  const loss = finding('shore-power-lost', 'alarm', {
    subject: { part: 'inlet' },
    title: 'Shore power is lost at Inlet',
  });
  const known = { value: null, ageMs: null } as never;
  const panelWith = (live: 'live' | 'dead'): PanelState => {
    const leg = { leg: 'L', live, volts: known, amps: known, watts: known, ampsRated: 16 };
    const source = (id: string, label: string) => ({ id, label, legs: [leg] });
    const bus = { id: 'house', label: 'House', fedBy: live === 'live' ? 'inlet' : 'generator' };
    return emptyPanel({
      sources: [source('inlet', 'Inlet'), source('generator', 'Generator')] as never,
      buses: [bus] as never,
    });
  };
  const endWith = (live: 'live' | 'dead'): Letter | undefined => {
    const stage = new Stage({ ann: ann() });
    stage.panel = panelWith('dead');
    stage.hold({ [loss.rule]: loss }, 20 * SECOND_MS);
    stage.panel = panelWith(live);
    return stage.hold({}, 2 * MINUTE_MS).at(-1);
  };

  test('is never told as shore power that is back while the inlet reads no voltage', () => {
    const letter = endWith('dead');
    expect(letter?.headline).toMatch(/another source feeds the boat, Inlet still reads no voltage/);
    expect(letter?.headline).not.toMatch(/is back/);
    expect(letter?.text).toMatch(/not because shore power is back/);
    expect(letter?.text).toContain('Feeding now: Generator.');
  });

  test('is told as that where the inlet is live', () => {
    expect(endWith('live')?.headline).toMatch(/shore power is back at Inlet/);
  });
});
