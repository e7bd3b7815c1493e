/** What the address after the `#` means, so that every view and every chart can be linked to. Pure. */

import type { Stretch } from './models/stretch.ts';

/** In the order in which they are offered. */
export const VIEWS = ['now', 'circuits', 'alerts', 'history', 'report', 'guest', 'health'] as const;
export type ViewName = (typeof VIEWS)[number];

export const SPANS = {
  '15min': 15 * 60_000,
  '1h': 3_600_000,
  '6h': 6 * 3_600_000,
  '24h': 24 * 3_600_000,
  '7d': 7 * 24 * 3_600_000,
  '31d': 31 * 24 * 3_600_000,
  '365d': 365 * 24 * 3_600_000,
} as const;
export type SpanName = keyof typeof SPANS;
export const SPAN_NAMES: readonly SpanName[] = ['15min', '1h', '6h', '24h', '7d', '31d', '365d'];

/** A named span ends now and moves on; one from-to stands still. */
export type Span = SpanName | Stretch;

export interface HistoryRoute {
  view: 'history';
  points: string[];
  span: Span;
  /** The same time a week earlier is drawn as well. */
  isCompared?: true;
  /** An instant that is marked on the charts. */
  atMs?: number;
}
/** A view that reads the rest of its address itself; `query` is what stands after the `?`. */
export interface PlainRoute {
  view: Exclude<ViewName, 'history'>;
  query: string;
}
export type Route = PlainRoute | HistoryRoute;

/** Most points drawn at once; more could not be told apart. */
export const MOST_POINTS = 8;

function isSpanName(text: string | null): text is SpanName {
  return text !== null && Object.hasOwn(SPANS, text);
}

/** The last instant that a `Date` can hold. */
const LAST_MS = 8.64e15;

function instantFrom(text: string | null): number | null {
  const atMs = text === null || text === '' ? Number.NaN : Number(text);
  return atMs >= 0 && atMs <= LAST_MS ? atMs : null;
}

/** `from` and `to` of an address; null where they are no stretch of time. */
export function stretchFrom(query: URLSearchParams): Stretch | null {
  const fromMs = instantFrom(query.get('from'));
  const toMs = instantFrom(query.get('to'));
  return fromMs !== null && toMs !== null && toMs > fromMs ? { fromMs, toMs } : null;
}

/** Puts a stretch into an address; `stretchFrom` reads it back. */
export function addStretch(query: URLSearchParams, { fromMs, toMs }: Stretch): void {
  query.set('from', String(Math.round(fromMs)));
  query.set('to', String(Math.round(toMs)));
}

function historyFrom(query: URLSearchParams): HistoryRoute {
  const given = (query.get('points') ?? '').split(',').filter((id) => id !== '');
  const name = query.get('span');
  const atMs = instantFrom(query.get('at'));
  return {
    view: 'history',
    points: [...new Set(given)].slice(0, MOST_POINTS),
    span: isSpanName(name) ? name : (stretchFrom(query) ?? '1h'),
    ...(query.get('compare') === 'week' ? { isCompared: true } : {}),
    ...(atMs === null ? {} : { atMs }),
  };
}

function cutAt(text: string, sign: string): [string, string] {
  const at = text.indexOf(sign);
  return at < 0 ? [text, ''] : [text.slice(0, at), text.slice(at + 1)];
}

/** Reads `#history?points=a,b&span=6h`; anything not understood leads to the `now` view. */
export function readHash(hash: string): Route {
  const [path, search] = cutAt(hash.replace(/^#\/?/, ''), '?');
  const view = VIEWS.find((name) => name === path) ?? 'now';
  if (view !== 'history') return { view, query: view === path ? search : '' };
  return historyFrom(new URLSearchParams(search));
}

/** The address of a route; `readHash` of it gives the same route. */
export function hashOf(route: Route): string {
  if (route.view !== 'history') {
    return route.query === '' ? `#${route.view}` : `#${route.view}?${route.query}`;
  }
  const query = new URLSearchParams();
  if (route.points.length > 0) query.set('points', route.points.join(','));
  if (typeof route.span === 'string') query.set('span', route.span);
  else addStretch(query, route.span);
  if (route.isCompared === true) query.set('compare', 'week');
  if (route.atMs !== undefined) query.set('at', String(Math.round(route.atMs)));
  return `#history?${query.toString().replaceAll('%2C', ',')}`;
}
