/** What the history shows beside its curves: bands and events of the same time. */
import { useEffect } from 'preact/hooks';
import type { BandsAnswer, PanelEvent } from '../daemon/api/contract.ts';
import { askBands, askEvents } from './api.ts';
import { useAsked, type Asked } from './asking.ts';
import { panelEvents } from './live.ts';
import { lengthOf, type Stretch } from './models/stretch.ts';

export const MOST_BANDS = 1000;
export const MOST_EVENTS = 1000;

export interface Beside {
  bands: BandsAnswer | null;
  events: readonly PanelEvent[];
  isCut: boolean;
  problem: string | null;
  again: () => void;
}

/** Asks anew for another time, and as a moving one moves on by a thirtieth. */
export function useBeside(span: Stretch | null, spanKey: string): Beside {
  const step = span === null ? 0 : Math.floor(span.toMs / (lengthOf(span) / 30));
  const asked = span ?? { fromMs: 0, toMs: 1 };
  const causes = [spanKey, span === null ? 0 : step];
  const bands = useAsked(() => askBands(asked, MOST_BANDS), causes);
  const events = useAsked(() => askEvents(asked.fromMs, MOST_EVENTS, asked.toMs), causes);
  // What is heard while the page is open may belong into the list as well.
  const heardMs = panelEvents.value[0]?.atMs;
  useEffect(() => {
    if (heardMs !== undefined && heardMs < asked.toMs) events.again();
  }, [heardMs]);
  return {
    bands: within(bands, span),
    events: events.answer?.events ?? [],
    isCut: (events.answer?.events.length ?? 0) >= MOST_EVENTS || bands.answer?.isComplete === false,
    problem: bands.problem ?? events.problem,
    again: () => {
      bands.again();
      events.again();
    },
  };
}

/** The bands of another time are none of this one. */
function within({ answer }: Asked<BandsAnswer>, span: Stretch | null): BandsAnswer | null {
  if (answer === null || span === null) return null;
  return answer.fromMs < span.toMs && answer.toMs > span.fromMs ? answer : null;
}
