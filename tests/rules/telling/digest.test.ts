import { describe, expect, test } from 'vitest';
import { digestOf } from '../../../rules/index.ts';
import type { Letter, ToldAlert } from '../../../rules/index.ts';

/** 1 June 2026, midnight in Amsterdam, which is two hours ahead of UTC in summer. */
const MIDNIGHT_MS = Date.UTC(2026, 4, 31, 22);
const ZONE = 'Europe/Amsterdam';
const at = (hours: number, minutes: number): number =>
  MIDNIGHT_MS + (hours * 60 + minutes) * 60_000;

function letter(writtenAtMs: number, more: Partial<Letter>): Letter {
  return {
    key: `key-${writtenAtMs}`,
    kind: 'alert',
    contact: 'ann',
    way: 'mail',
    boat: 'Sable Plover',
    priority: more.about?.[0]?.priority ?? 'warning',
    alertId: more.about?.length === 1 ? (more.about[0]?.alertId ?? null) : null,
    about: [],
    headline: 'Sable Plover: something',
    text: 'What it means.',
    writtenAtMs,
    dueAtMs: writtenAtMs,
    expiresAtMs: writtenAtMs + 3_600_000,
    ...more,
  };
}

const told = (alertId: string, more: Partial<ToldAlert>): ToldAlert => ({
  alertId,
  priority: 'alarm',
  title: `Title of ${alertId}`,
  sinceMs: at(3, 10),
  overAtMs: null,
  ...more,
});

describe('one letter out of many', () => {
  test('says what is still there, what was active from when to when, and counts the rest', () => {
    const digest = digestOf(
      [
        letter(at(3, 10), { about: [told('shore', {})], text: 'Do this: look ashore.' }),
        letter(at(3, 11), { about: [told('bilge', { sinceMs: at(3, 11) })] }),
        letter(at(3, 12), { about: [told('volts', { priority: 'warning' })] }),
        letter(at(3, 25), { about: [told('bilge', { sinceMs: at(3, 11), overAtMs: at(3, 25) })] }),
        letter(at(4, 0), {
          about: [told('volts', { priority: 'warning', overAtMs: at(3, 59) })],
        }),
      ],
      at(9, 12),
      ZONE,
    );
    expect(digest).toMatchObject({
      kind: 'digest',
      priority: 'alarm',
      contact: 'ann',
      way: 'mail',
    });
    expect(digest.headline).toBe('Sable Plover: Title of shore, since 03:10');
    expect(digest.text.split('\n')).toEqual([
      'Nothing could leave the boat from 03:10 to 09:12; this one message stands for 5 messages.',
      'Still there since 03:10: Title of shore.',
      'Was active 03:11 to 03:25: Title of bilge.',
      '1 warning came and went meanwhile.',
      '',
      'Title of shore:',
      'Do this: look ashore.',
    ]);
  });

  test('of what is all over is no alarm any more, and says so', () => {
    const digest = digestOf(
      [
        letter(at(3, 10), { about: [told('shore', {})] }),
        letter(at(3, 40), { about: [told('shore', { overAtMs: at(3, 40) })] }),
      ],
      at(27, 0),
      ZONE,
    );
    expect(digest.priority).toBe('warning');
    expect(digest.headline).toBe(
      'Sable Plover: 1 alarm came and went while no message could leave her, from 2026-06-01 03:10 to 03:00',
    );
    expect(digest.text).toContain('Was active 2026-06-01 03:10 to 03:40: Title of shore.');
  });

  test('is the same for the same letters in any order, and another for more', () => {
    const letters = [1, 2, 3].map((minute) =>
      letter(at(3, minute), { about: [told(`alert-${minute}`, {})] }),
    );
    const whole = digestOf(letters, at(5, 0), ZONE);
    expect(digestOf(letters.toReversed(), at(5, 0), ZONE)).toEqual(whole);
    expect(digestOf(letters.slice(0, 2), at(5, 0), ZONE).key).not.toBe(whole.key);
  });

  test('of two hundred is short, and says how many more there are', () => {
    const letters = Array.from({ length: 200 }, (_, n) =>
      letter(at(3, 0) + n * 1000, { about: [told(`alert-${n}`, {})] }),
    );
    const digest = digestOf(letters, at(9, 0), ZONE);
    expect(digest.headline).toBe('Sable Plover: Title of alert-0, since 03:10 and 199 more');
    expect(digest.text).toContain('And 188 more.');
    expect(digest.text.length).toBeLessThan(2000);
    expect(digest.about).toHaveLength(200);
  });

  test('keeps only the newest of the lines that come every morning', () => {
    const digest = digestOf(
      [1, 2].map((day) =>
        letter(at(day * 24 + 7, 30), { kind: 'morning line', headline: `Morning ${day}` }),
      ),
      at(60, 0),
      ZONE,
    );
    expect(digest.text).not.toContain('Morning 1');
    expect(digest.text).toContain('Morning 2');
  });

  test('is made of letters of one contact by one way, and of one at least', () => {
    expect(() => digestOf([], 0, ZONE)).toThrow('needs letters');
    expect(() => digestOf([letter(0, {}), letter(1, { way: 'push' })], 2, ZONE)).toThrow('one way');
  });
});
