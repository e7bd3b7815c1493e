/** What the trend view asks for and when it asks again. Pure. */
import type {
  Bucket,
  HistoryAnswer,
  PanelState,
  PointDescription,
  Quantity,
} from '../../daemon/api/contract.ts';
import { shownAs, type ElectricalSystem, type Unit } from '../format.ts';
import { SPANS, type Span } from '../route.ts';
import { withReading, type Gap } from './traces.ts';

/** The instants a span covers; one that ends now needs to know what now is. */
export function instantsOf(span: Span, nowMs: number): Gap {
  if (typeof span !== 'string') return span;
  return { fromMs: nowMs - SPANS[span], toMs: nowMs };
}

export const WEEK_MS = 7 * 24 * 3_600_000;

/** What was recorded a week earlier, at the place on the chart where it is compared. */
export function aWeekLater(answer: HistoryAnswer): HistoryAnswer {
  return {
    ...answer,
    fromMs: answer.fromMs + WEEK_MS,
    toMs: answer.toMs + WEEK_MS,
    series: answer.series.map((one) => ({
      ...one,
      buckets: one.buckets.map(([atMs, ...rest]): Bucket => [atMs + WEEK_MS, ...rest]),
    })),
  };
}

/** A span that ends now follows the boat, and so does one that is not over yet, such as today. */
export function follows(span: Span, nowMs: number): boolean {
  return typeof span === 'string' || (span.fromMs <= nowMs && nowMs < span.toMs);
}

/**
 * Whether the history should be asked again: the boat's time has moved on by a thirtieth of the
 * span, and the span was not over when it was asked for. In between the tail grows from the live
 * readings.
 */
export function isDue(span: Span, askedToMs: number | null, nowMs: number): boolean {
  if (askedToMs === null) return true;
  if (typeof span === 'string') return nowMs - askedToMs >= SPANS[span] / 30;
  const dueMs = Math.min(span.toMs, askedToMs + (span.toMs - span.fromMs) / 30);
  return askedToMs < span.toMs && nowMs >= dueMs;
}

/** A history answer that grows at its end, and the newest live reading of each point in it. */
export interface Grown {
  answer: HistoryAnswer;
  /** Where the store's own answer ended. */
  askedToMs: number;
  /** When the live panel was last looked at. */
  lookedAtMs: number;
  heardAtMs: ReadonlyMap<string, number>;
  /** Boat's time between two looks at the live panel, the longest: a demo's time runs fast. */
  lookEveryMs: number;
}

/** An answer as fresh as the boat's `nowMs`, not grown yet. */
export function ungrown(answer: HistoryAnswer, nowMs: number): Grown {
  const askedToMs = Math.min(answer.toMs, nowMs);
  return { answer, askedToMs, lookedAtMs: askedToMs, heardAtMs: new Map(), lookEveryMs: 0 };
}

/** The answer with the fresh readings of a panel added at its end, each reading once. */
export function withTail(grown: Grown, panel: PanelState): Grown {
  const { answer, askedToMs, heardAtMs } = grown;
  const points = new Map(panel.points.map((point) => [point.id, point]));
  const heard = new Map(heardAtMs);
  const series = answer.series.map((one) => {
    const point = points.get(one.pointId);
    if (point?.freshness !== 'fresh' || typeof point.value !== 'number' || point.ageMs === null) {
      return one;
    }
    const atMs = panel.atMs - point.ageMs;
    const newestMs = Math.max(
      heard.get(one.pointId) ?? answer.fromMs,
      one.buckets.at(-1)?.[0] ?? answer.fromMs,
    );
    if (atMs <= newestMs) return one;
    heard.set(one.pointId, atMs);
    const reading = { atMs, value: point.value };
    const buckets = withReading(one.buckets, reading, answer.fromMs, answer.bucketMs);
    return { ...one, buckets };
  });
  const toMs = Math.max(answer.toMs, panel.atMs);
  const lookedAtMs = Math.max(grown.lookedAtMs, panel.atMs);
  return {
    answer: { ...answer, toMs, series },
    askedToMs,
    lookedAtMs,
    heardAtMs: heard,
    lookEveryMs: Math.max(grown.lookEveryMs, lookedAtMs - grown.lookedAtMs),
  };
}

/** Pixels across the widest chart, about: less growth than half of one cannot be seen. */
const HALF_PIXELS = 2000;

/** Whether a chart looks any different once it has grown: one of a year does not every second. */
export function isWorthDrawing(drawn: Grown, grown: Grown): boolean {
  const { fromMs, toMs } = grown.answer;
  const askedAnew = drawn.askedToMs !== grown.askedToMs;
  const grewMs = grown.lookedAtMs - drawn.lookedAtMs;
  return askedAnew || grewMs >= (toMs - fromMs) / HALF_PIXELS;
}

/** The answer without what lies before `fromMs`, so that a following chart moves on. */
export function cutBefore(answer: HistoryAnswer, fromMs: number): HistoryAnswer {
  const series = answer.series.map((one) => ({
    ...one,
    buckets: one.buckets.filter(([atMs]) => atMs + answer.bucketMs > fromMs),
  }));
  return { ...answer, fromMs: Math.max(answer.fromMs, fromMs), series };
}

/** Whether a part belongs to the DC side, for the decimals of its volts. */
export function systemsOf(panel: PanelState | null): ReadonlyMap<string, ElectricalSystem> {
  const systems = new Map<string, ElectricalSystem>();
  if (panel === null) return systems;
  for (const { id, system } of [panel.sources, panel.buses, panel.circuits].flat()) {
    systems.set(id, system);
  }
  for (const { id } of panel.batteries) systems.set(id, 'dc');
  return systems;
}

/** What is drawn while nobody has chosen: the currents of the sources, those of the AC side first. */
export function firstPoints(
  points: readonly PointDescription[],
  { sources }: Pick<PanelState, 'sources'>,
  most: number,
): string[] {
  const rank = new Map(
    [...sources]
      .sort((a, b) => Number(a.system === 'dc') - Number(b.system === 'dc'))
      .map(({ id }, index) => [id, index]),
  );
  return points
    .filter(({ of, quantity }) => quantity === 'amps' && rank.has(of))
    .sort((a, b) => (rank.get(a.of) ?? 0) - (rank.get(b.of) ?? 0))
    .slice(0, most)
    .map(({ id }) => id);
}

/** One chart for each unit: amperes and volts do not share an axis. DC volts and AC volts neither. */
export interface Plot {
  key: string;
  quantity: Quantity;
  unit: Unit;
  scale: number;
  decimals: number;
  points: PointDescription[];
}

export function plotsFor(
  points: readonly PointDescription[],
  systems: ReadonlyMap<string, ElectricalSystem>,
): Plot[] {
  const plots = new Map<string, Plot>();
  for (const point of points) {
    const system = systems.get(point.of) ?? 'ac';
    const shown = shownAs(point.quantity, system);
    const key = `${point.quantity} ${point.quantity === 'volts' ? system : ''}`.trim();
    const plot = plots.get(key) ?? { key, quantity: point.quantity, ...shown, points: [] };
    plot.points.push(point);
    plots.set(key, plot);
  }
  return [...plots.values()];
}
