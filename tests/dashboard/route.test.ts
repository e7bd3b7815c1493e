import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  hashOf,
  MOST_POINTS,
  readHash,
  SPAN_NAMES,
  SPANS,
  type HistoryRoute,
  type PlainRoute,
  type Route,
} from '../../dashboard/route.ts';

describe('the address', () => {
  test.each(['', '#', '#now', '#/now', '#nothing', '#nothing?points=a'])(
    '%s shows what is now',
    (hash) => {
      expect(readHash(hash)).toEqual({ view: 'now', query: '' });
    },
  );

  test('a history keeps its points and its span', () => {
    expect(readHash('#history?points=a,b,a&span=6h')).toEqual({
      view: 'history',
      points: ['a', 'b'],
      span: '6h',
    });
  });

  test.each([
    'span=9h',
    'span=toString',
    'from=1&to=1e99',
    'from=5&to=4',
    'from=x&to=9',
    'from=5',
    'from=-9&to=4',
    '',
  ])('a span that makes no sense (%s) becomes an hour', (query) => {
    expect(readHash(`#history?points=a&${query}`)).toMatchObject({ span: '1h' });
  });

  test('more points than can be told apart are left out', () => {
    const many = Array.from({ length: 20 }, (_, n) => `p${n}`).join(',');
    expect(readHash(`#history?points=${many}`)).toMatchObject({ points: { length: MOST_POINTS } });
  });

  test('every route reads back as itself', () => {
    const id = fc.stringMatching(/^[a-z][a-z0-9 .%&=#?ä-]{0,12}$/);
    const spans = fc.oneof(
      fc.constantFrom(...SPAN_NAMES),
      fc
        .tuple(fc.integer({ min: 0, max: 2e12 }), fc.integer({ min: 1, max: 1e9 }))
        .map(([fromMs, lengthMs]) => ({ fromMs, toMs: fromMs + lengthMs })),
    );
    const routes: fc.Arbitrary<Route> = fc.oneof(
      fc
        .tuple(
          fc.constantFrom<PlainRoute['view']>('now', 'circuits', 'alerts', 'report', 'health'),
          fc.stringMatching(/^([a-z][a-z0-9=&?.-]{0,12})?$/),
        )
        .map(([view, query]): Route => ({ view, query })),
      fc
        .tuple(
          fc.uniqueArray(id, { maxLength: MOST_POINTS }),
          spans,
          fc.boolean(),
          fc.option(fc.integer({ min: 0, max: 2e12 }), { nil: null }),
        )
        .map(([points, span, isCompared, atMs]): Route => {
          const route: HistoryRoute = { view: 'history', points, span };
          if (isCompared) route.isCompared = true;
          if (atMs !== null) route.atMs = atMs;
          return route;
        }),
    );
    fc.assert(
      fc.property(routes, (route) => {
        expect(readHash(hashOf(route))).toEqual(route);
      }),
    );
  });

  test('every named span has its length', () => {
    expect(Object.keys(SPANS)).toEqual([...SPAN_NAMES]);
  });
});
