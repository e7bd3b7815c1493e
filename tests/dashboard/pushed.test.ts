/** What a pushed message looks like, and whether a browser can have any. */
import { describe, expect, test } from 'vitest';
import { payloadOf } from '../../daemon/delivery/push-way.ts';
import { pushStateOf, troubleOf } from '../../dashboard/models/push-state.ts';
import { opensOf, shownOf } from '../../dashboard/offline/pushed.ts';
import { letterWith } from '../daemon/delivery/fixtures.ts';

describe('a pushed message', () => {
  test('is the letter: headline, text, and the alert it is about', () => {
    const id = 'overload.a bus.12';
    const letter = letterWith('k', {
      alertId: id,
      priority: 'alarm',
      headline: 'Puffin: too much',
      text: 'Switch one off.',
    });
    const { title, options } = shownOf(payloadOf(letter));
    expect(title).toBe('Puffin: too much');
    expect(options).toMatchObject({ body: 'Switch one off.', tag: id, requireInteraction: true });
    expect(opensOf(options.data)).toBe('#alerts?alert=overload.a%20bus.12');
  });

  test('a newer word about an alert takes the place of the one before, and is heard', () => {
    const of = (key: string) => shownOf(payloadOf(letterWith(key, { alertId: 'a.1' }))).options;
    expect(of('k1').tag).toBe(of('k2').tag);
    expect(of('k1').renotify).toBe(true);
  });

  test('an all clear and what is not urgent go away by themselves', () => {
    const clear = letterWith('k', { kind: 'all clear', priority: 'alarm' });
    const mild = letterWith('k', { priority: 'warning' });
    for (const letter of [clear, mild]) {
      expect(shownOf(payloadOf(letter)).options.requireInteraction).toBe(false);
    }
  });

  test.each(['', 'null', '[]', '7', '{}', '{"headline":5}', 'plain words', '{"headline":"x"'])(
    'is never shown without words: %j',
    (text) => {
      const { title, options } = shownOf(text);
      expect(title).toBe('panelward');
      expect(options.body).not.toBe('');
      expect(options.tag).not.toBe('');
      expect(opensOf(options.data)).toBe('#alerts');
    },
  );

  test('opens the page and nothing else, whatever stands in it', () => {
    for (const opens of ['https://example.org', '//example.org', 'javascript:1', '', 5, null]) {
      expect(opensOf({ opens })).toBe('#alerts');
    }
    expect(opensOf(null)).toBe('#alerts');
  });
});

describe('whether a browser can show messages', () => {
  const able = {
    pushKey: 'key',
    isSecure: true,
    hasPush: true,
    permission: 'default',
    isSubscribed: false,
  } as const;

  test.each([
    ['offered', {}],
    ['told', { isSubscribed: true, permission: 'granted' }],
    ['none', { pushKey: null, isSecure: false }],
    ['none', { isSubscribed: null }],
    ['not secure', { isSecure: false, hasPush: false }],
    ['not able', { hasPush: false }],
    ['forbidden', { permission: 'denied', isSubscribed: null }],
  ] as const)('%s: %j', (state, change) => {
    expect(pushStateOf({ ...able, ...change })).toBe(state);
  });

  test('why it did not is told by the name of the error', () => {
    const trouble = (name: string) => troubleOf(new DOMException('x', name));
    expect(trouble('NotAllowedError')).toBe('forbidden');
    expect(trouble('AbortError')).toBe('no service');
    expect(trouble('TimeoutError')).toBe('not kept');
    expect(trouble('InvalidStateError')).toBe('other');
    expect(troubleOf('x')).toBe('other');
  });
});
