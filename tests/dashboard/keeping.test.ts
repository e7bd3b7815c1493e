import { describe, expect, test } from 'vitest';
import { answererOf, outdated } from '../../dashboard/offline/keeping.ts';

const SCOPE = 'https://boat.example/panel/';
const FILES = new Set(['assets/index-1.js', 'icon.svg']);
const get = (path: string, isNavigation = false) =>
  answererOf({ method: 'GET', url: SCOPE + path, isNavigation }, SCOPE, FILES);

describe('what answers a request', () => {
  test.each(['api/v1/panel', 'api/v1/live', 'api/v1/alerts?phase=past', 'metrics', 'openapi.json'])(
    '%s always comes from the boat',
    (path) => {
      expect(get(path)).toBe('boat');
      expect(get(path, true)).toBe('boat');
    },
  );

  test('the page comes as the shell, whatever stands behind its address', () => {
    expect(['', '?from=home', '#alerts', 'index.html'].map((path) => get(path, true))).toEqual(
      Array.from({ length: 4 }, () => 'shell'),
    );
  });

  test('its files may be kept, also those of the version before', () => {
    expect(get('assets/index-1.js')).toBe('kept');
    expect(get('assets/index-0.js')).toBe('kept');
    expect(get('icon.svg')).toBe('kept');
    expect(get('other.svg')).toBe('boat');
  });

  test('whatever changes something, and whatever is not ours, is left alone', () => {
    const url = `${SCOPE}assets/index-1.js`;
    expect(answererOf({ method: 'POST', url, isNavigation: false }, SCOPE, FILES)).toBe('boat');
    const elsewhere = { method: 'GET', url: 'https://boat.example/icon.svg', isNavigation: false };
    expect(answererOf(elsewhere, SCOPE, FILES)).toBe('boat');
  });
});

test('of the caches only this version and the one before stay', () => {
  expect(outdated(['p-1', 'other', 'p-2', 'p-3'], 'p-', 'p-3')).toEqual(['p-1']);
  expect(outdated(['p-3'], 'p-', 'p-3')).toEqual([]);
  expect(outdated([], 'p-', 'p-3')).toEqual([]);
});
