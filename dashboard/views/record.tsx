/** What has been: past alerts, and what changed at the panel. */
import type { PanelEvent } from '../../daemon/api/contract.ts';
import { askEvents } from '../api.ts';
import { useAsked } from '../asking.ts';
import { boatNowMs, panelEvents } from '../live.ts';
import { clockText } from '../format.ts';
import { PastAlerts } from '../parts/past-alerts.tsx';
import { Problem } from '../parts/problem.tsx';
import { texts } from '../texts.ts';

const words = texts.record;
const DAY_MS = 24 * 3_600_000;
const MOST_EVENTS = 200;

/** The stored events with those heard since, each once, newest first. */
function joined(heard: readonly PanelEvent[], stored: readonly PanelEvent[]): PanelEvent[] {
  const newestMs = stored[0]?.atMs ?? Number.NEGATIVE_INFINITY;
  return [...heard.filter(({ atMs }) => atMs > newestMs), ...stored];
}

function Events({ nowMs }: { nowMs: number }) {
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

export function RecordView() {
  const nowMs = boatNowMs.value;
  return (
    <section aria-labelledby="record-heading">
      <h2 id="record-heading">{words.heading}</h2>
      <div class="record">
        <PastAlerts nowMs={nowMs} />
        {nowMs === null ? <p class="soft">{texts.waiting}</p> : <Events nowMs={nowMs} />}
      </div>
    </section>
  );
}
