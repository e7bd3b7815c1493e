/** One open alert with what is so about it, and what a person can do. */
import { useState } from 'preact/hooks';
import type { Alert } from '../../daemon/api/contract.ts';
import { refusals } from '../acting.ts';
import { headingIdOf } from '../focus.ts';
import { ageText, clockText } from '../format.ts';
import { opensByItself } from '../models/alert-list.ts';
import { isWaking } from '../models/alert-states.ts';
import { spanOf } from '../models/evidence.ts';
import { hashOf } from '../route.ts';
import { texts } from '../texts.ts';
import { AlertActs } from './alert-acts.tsx';
import { AlertStates } from './alert-states.tsx';
import { AlertText } from './alert-text.tsx';
import { EvidenceChart } from './evidence-chart.tsx';
import { PriorityMark } from './mark.tsx';

const words = texts.alerts;

function sinceText(alert: Alert, nowMs: number | null): string {
  const { sinceMs, returnedAtMs } = alert;
  const clock = clockText(sinceMs, nowMs ?? sinceMs);
  if (returnedAtMs !== null) return words.lasted(clock, ageText(returnedAtMs - sinceMs));
  return nowMs === null ? words.sinceOnly(clock) : words.since(clock, ageText(nowMs - sinceMs));
}

function phaseText({ phase, acknowledgedBy }: Alert): string {
  const word = words.phase[phase];
  const isAnswered = phase === 'acknowledged' && acknowledgedBy !== null;
  return isAnswered ? words.phaseBy(word, acknowledgedBy) : word;
}

/** The history that shows an alert best: its points from shortly before it began. */
export const historyOf = (alert: Alert, nowMs: number): string =>
  hashOf({ view: 'history', points: alert.points, span: spanOf(alert, nowMs) });

/** The points behind it from shortly before it began; drawn only when somebody asks. */
function Evidence({ alert, nowMs }: { alert: Alert; nowMs: number }) {
  const [isOpen, setOpen] = useState(false);
  return (
    <details class="alert-evidence" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>
        {words.evidence}
        <span class="for-ears"> {alert.title}</span>
      </summary>
      {isOpen && <EvidenceChart alert={alert} nowMs={nowMs} />}
    </details>
  );
}

export function AlertCard({ alert, nowMs }: { alert: Alert; nowMs: number | null }) {
  const refusal = refusals.value.get(alert.id);
  const instantMs = nowMs ?? alert.raisedAtMs;
  const priority = words.priority[alert.priority];
  return (
    <article
      class="alert"
      data-priority={alert.priority}
      data-phase={alert.phase}
      data-waking={isWaking(alert)}
      aria-labelledby={headingIdOf(alert.id)}
    >
      <p class="alert-kind">
        <PriorityMark priority={alert.priority} />
        <strong class="alert-priority">{priority}</strong>
        <span class="alert-phase">{phaseText(alert)}</span>
        <span class="alert-since">{sinceText(alert, nowMs)}</span>
      </p>
      <h3 id={headingIdOf(alert.id)} tabIndex={-1}>
        {alert.title}
      </h3>
      {alert.isHeld && <p class="alert-held">{words.held}</p>}
      <AlertStates alert={alert} nowMs={instantMs} />
      <details open={opensByItself(alert)}>
        <summary>{words.details}</summary>
        <AlertText alert={alert} nowMs={instantMs} />
      </details>
      {alert.points.length > 0 && <Evidence alert={alert} nowMs={instantMs} />}
      {refusal !== undefined && (
        <p class="problem" role="alert">
          {refusal}
        </p>
      )}
      <p class="alert-actions">
        <AlertActs alert={alert} />
        {alert.points.length > 0 && (
          <a
            class="button"
            href={historyOf(alert, instantMs)}
            aria-label={words.historyOf(alert.title)}
          >
            {words.history}
          </a>
        )}
      </p>
    </article>
  );
}
