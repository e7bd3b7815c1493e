/** A load survey and event report of any period, to be printed. */
import { useRef, useState } from 'preact/hooks';
import { replaceRoute, route } from '../browser-route.ts';
import { boatNowMs } from '../live.ts';
import { readReport, reportQuery, type ReportChoice } from '../models/report-address.ts';
import type { Stretch } from '../models/stretch.ts';
import {
  calendarFrom,
  CalendarPicker,
  kindOf,
  type PeriodKind,
} from '../parts/calendar-picker.tsx';
import { ReportPaper } from '../parts/report-paper.tsx';
import { texts } from '../texts.ts';

const words = texts.report;
const KINDS: readonly PeriodKind[] = ['day', 'month', 'between'];

function choose(choice: ReportChoice): void {
  replaceRoute({ view: 'report', query: reportQuery(choice) });
}

interface ControlsProps {
  choice: ReportChoice;
  span: Stretch;
}

function Controls({ choice, span }: ControlsProps) {
  const [kind, setKind] = useState<PeriodKind>(kindOf(span));
  const shown = KINDS.includes(kind) ? kind : 'between';
  const start = shown === 'between' ? span : calendarFrom(shown, span.fromMs);
  return (
    <div class="report-controls">
      <p class="soft">{words.about}</p>
      <fieldset class="spans">
        <legend>{words.period}</legend>
        <div class="span-buttons">
          {KINDS.map((own) => (
            <button
              type="button"
              key={own}
              aria-pressed={own === shown}
              onClick={() => setKind(own)}
            >
              {texts.history.kinds[own]}
            </button>
          ))}
        </div>
        <CalendarPicker
          key={shown}
          kind={shown}
          stretch={start}
          choose={(next) => choose({ ...choice, span: next })}
        />
      </fieldset>
      <label class="compare">
        <input
          type="checkbox"
          checked={choice.hasEvents}
          onChange={(event) => choose({ ...choice, hasEvents: event.currentTarget.checked })}
        />
        {words.withEvents}
      </label>
      <button type="button" class="print" onClick={() => print()}>
        {words.print}
      </button>
    </div>
  );
}

function Shown({ choice, nowMs }: { choice: ReportChoice; nowMs: number }) {
  // A report stands still while it is read, whatever the boat does meanwhile.
  const key = reportQuery({ ...choice, hasEvents: true });
  const asked = useRef({ key, nowMs });
  if (asked.current.key !== key) asked.current = { key, nowMs };
  const span = choice.span ?? calendarFrom('day', asked.current.nowMs);
  return (
    <>
      <Controls choice={choice} span={span} />
      <ReportPaper span={span} nowMs={asked.current.nowMs} hasEvents={choice.hasEvents} />
    </>
  );
}

export function ReportView() {
  const at = route.value;
  const nowMs = boatNowMs.value;
  const choice = readReport(at.view === 'report' ? at.query : '');
  return (
    <section class="report" aria-labelledby="report-heading">
      <h2 id="report-heading">{words.heading}</h2>
      {nowMs === null ? (
        <p class="soft">{texts.waiting}</p>
      ) : (
        <Shown choice={choice} nowMs={nowMs} />
      )}
    </section>
  );
}
