/** What happened, on paper. */
import { boat, boatNowMs } from '../live.ts';
import { PanelEvents } from '../parts/panel-events.tsx';
import { PastAlerts } from '../parts/past-alerts.tsx';
import { texts } from '../texts.ts';

const words = texts.report;

export function ReportView() {
  const nowMs = boatNowMs.value;
  const about = boat.value;
  return (
    <section aria-labelledby="report-heading">
      <h2 id="report-heading">{words.heading}</h2>
      {about !== null && <p class="soft">{words.of(about.name, about.version)}</p>}
      <button type="button" onClick={() => print()}>
        {words.print}
      </button>
      <div class="two-columns">
        <PastAlerts nowMs={nowMs} />
        {nowMs === null ? <p class="soft">{texts.waiting}</p> : <PanelEvents nowMs={nowMs} />}
      </div>
    </section>
  );
}
