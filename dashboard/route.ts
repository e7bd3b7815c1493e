/** What the address after the `#` means, so that every view and every chart can be linked to. Pure. */

export const VIEWS = ['now', 'trend', 'record', 'health'] as const;
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

export interface TrendRoute {
  view: 'trend';
  points: string[];
  span: Span;
}
export type Route = { view: Exclude<ViewName, 'trend'> } | TrendRoute;

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

/** Reads `#trend?points=a,b&span=6h`; anything not understood leads to the `now` view. */
export function readHash(hash: string): Route {
  const [path = '', search = ''] = hash.replace(/^#\/?/, '').split('?', 2);
  const view = VIEWS.find((name) => name === path) ?? 'now';
  if (view !== 'trend') return { view };
  const query = new URLSearchParams(search);
  const given = (query.get('points') ?? '').split(',').filter((id) => id !== '');
  return { view, points: [...new Set(given)].slice(0, MOST_POINTS), span: spanFrom(query) };
}

/** The address of a route; `readHash` of it gives the same route. */
export function hashOf(route: Route): string {
  if (route.view !== 'trend') return `#${route.view}`;
  const query = new URLSearchParams();
  if (route.points.length > 0) query.set('points', route.points.join(','));
  if (typeof route.span === 'string') query.set('span', route.span);
  else {
    query.set('from', String(Math.round(route.span.fromMs)));
    query.set('to', String(Math.round(route.span.toMs)));
  }
  return `#trend?${query.toString().replaceAll('%2C', ',')}`;
}
