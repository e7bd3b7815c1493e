/**
 * Shows the view that the address names. The first view comes with the page; the others are loaded
 * when they are opened, or while nothing else is to do, so that they still open once the boat is
 * out of reach.
 */
import { signal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { useEffect } from 'preact/hooks';
import { VIEWS, type Route, type ViewName } from '../route.ts';
import { texts } from '../texts.ts';
import { LoadFailed } from './load-failed.tsx';
import { NowView } from '../views/now.tsx';

type Draw = (at: Route) => ComponentChildren;

const LOADERS: Record<ViewName, () => Promise<Draw>> = {
  now: async () => () => <NowView />,
  circuits: async () => {
    const { CircuitsView } = await import('../views/circuits.tsx');
    return () => <CircuitsView />;
  },
  alerts: async () => {
    const { AlertsView } = await import('../views/alerts.tsx');
    return () => <AlertsView />;
  },
  history: async () => {
    const { HistoryView } = await import('../views/history.tsx');
    return (at) => at.view === 'history' && <HistoryView route={at} />;
  },
  report: async () => {
    const { ReportView } = await import('../views/report.tsx');
    return () => <ReportView />;
  },
  guest: async () => {
    const { GuestView } = await import('../views/guest.tsx');
    return () => <GuestView />;
  },
  health: async () => {
    const { HealthView } = await import('../views/health.tsx');
    return () => <HealthView />;
  },
};

/** The first view is at hand from the start. */
const drawn = signal<ReadonlyMap<ViewName, Draw>>(new Map([['now', () => <NowView />]]));
/** Views that could not be loaded when they were last asked for. */
const failed = signal<ReadonlySet<ViewName>>(new Set());

async function load(view: ViewName): Promise<void> {
  if (drawn.peek().has(view)) return;
  try {
    const draw = await LOADERS[view]();
    drawn.value = new Map([...drawn.peek(), [view, draw]]);
    failed.value = new Set([...failed.peek()].filter((other) => other !== view));
  } catch (error) {
    console.error(error);
    failed.value = new Set([...failed.peek(), view]);
  }
}

const IDLE_AFTER_MS = 4_000;

/** Loads the other views, one after the other, once the first has had its time. */
export function loadOthersLater(): () => void {
  const timer = setTimeout(() => void loadAll(), IDLE_AFTER_MS);
  return () => clearTimeout(timer);
}

async function loadAll(): Promise<void> {
  for (const view of VIEWS) await load(view);
}

export function ViewSlot({ at }: { at: Route }) {
  useEffect(() => void load(at.view), [at.view]);
  const draw = drawn.value.get(at.view);
  if (draw !== undefined) return <>{draw(at)}</>;
  if (!failed.value.has(at.view)) return <p class="soft">{texts.loading}</p>;
  return <LoadFailed />;
}
