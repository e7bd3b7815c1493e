/** What the address after the `#` means, so that every view and every chart can be linked to. Pure. */

/** In the order in which they are offered. */
export const VIEWS = ['now', 'circuits', 'alerts', 'history', 'report', 'guest', 'health'] as const;
export type ViewName = (typeof VIEWS)[number];

export const SPANS = {
  '15min': 15 * 60_000,
  '1h': 3_600_000,
  '6h': 6 * 3_600_000,
  '24h': 24 * 3_600_000,
  '7d': 7 * 24 * 3_600_000,
} as const;
export type SpanName = keyof typeof SPANS;
export const SPAN_NAMES: readonly SpanName[] = ['15min', '1h', '6h', '24h', '7d'];

/** A named span ends now and moves on; one from-to stands still. */
export type Span = SpanName | { fromMs: number; toMs: number };

export interface HistoryRoute {
  view: 'history';
  points: string[];
  span: Span;
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
  return text !== null && text in SPANS;
}

function spanFrom(query: URLSearchParams): Span {
  const name = query.get('span');
  if (isSpanName(name)) return name;
  const fromMs = Number(query.get('from') ?? Number.NaN);
  const toMs = Number(query.get('to') ?? Number.NaN);
  const isSpan = Number.isFinite(fromMs) && Number.isFinite(toMs) && toMs > fromMs && fromMs >= 0;
  return isSpan ? { fromMs, toMs } : '1h';
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
  const query = new URLSearchParams(search);
  const given = (query.get('points') ?? '').split(',').filter((id) => id !== '');
  return { view, points: [...new Set(given)].slice(0, MOST_POINTS), span: spanFrom(query) };
}

/** The address of a route; `readHash` of it gives the same route. */
export function hashOf(route: Route): string {
  if (route.view !== 'history') {
    return route.query === '' ? `#${route.view}` : `#${route.view}?${route.query}`;
  }
  const query = new URLSearchParams();
  if (route.points.length > 0) query.set('points', route.points.join(','));
  if (typeof route.span === 'string') query.set('span', route.span);
  else {
    query.set('from', String(Math.round(route.span.fromMs)));
    query.set('to', String(Math.round(route.span.toMs)));
  }
  return `#history?${query.toString().replaceAll('%2C', ',')}`;
}
