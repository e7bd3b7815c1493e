/** What changed at the panel in the last day: the stored events with those heard since. */
import type { PanelEvent } from '../../daemon/api/contract.ts';
import { askEvents } from '../api.ts';
import { useAsked } from '../asking.ts';
import { clockText } from '../format.ts';
import { panelEvents } from '../live.ts';
import { texts } from '../texts.ts';
import { Problem } from './problem.tsx';

const words = texts.past;
const DAY_MS = 24 * 3_600_000;
const MOST_EVENTS = 200;

/** Each once, newest first. */
function joined(heard: readonly PanelEvent[], stored: readonly PanelEvent[]): PanelEvent[] {
  const newestMs = stored[0]?.atMs ?? Number.NEGATIVE_INFINITY;
  return [...heard.filter(({ atMs }) => atMs > newestMs), ...stored];
}

export function PanelEvents({ nowMs }: { nowMs: number }) {
  const { answer, problem, again } = useAsked(() => askEvents(nowMs - DAY_MS, MOST_EVENTS), []);
  const events = joined(panelEvents.value, answer?.events ?? []);
  return (
    <section aria-labelledby="events-heading">
      <h3 id="events-heading">{words.events}</h3>
      {problem !== null && <Problem text={problem} again={again} />}
      {answer !== null && events.length === 0 && <p class="soft">{words.noEvents}</p>}
      <ol class="happenings">
        {events.map(({ atMs, part, text, type }) => (
          <li key={`${atMs} ${type} ${part}`}>
            <span class="number">{clockText(atMs, nowMs)}</span> <span>{text}</span>
          </li>
        ))}
      </ol>
    </section>
  );
}
