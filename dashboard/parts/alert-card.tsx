/** One open alert with its answer button. */
import { useState } from 'preact/hooks';
import type { Alert } from '../../daemon/api/contract.ts';
import { acknowledge, refusals, underWay } from '../acknowledging.ts';
import { headingIdOf } from '../focus.ts';
import { ageText, clockText } from '../format.ts';
import { awaitsAcknowledgement, opensByItself } from '../models/alert-list.ts';
import { spanOf } from '../models/evidence.ts';
import { hashOf } from '../route.ts';
import { texts } from '../texts.ts';
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

function AcknowledgeButton({ alert }: { alert: Alert }) {
  const isUnderWay = underWay.value.has(alert.id);
  return (
    <button
      type="button"
      class="act"
      aria-disabled={isUnderWay}
      aria-label={words.acknowledgeThis(alert.title)}
      onClick={() => void acknowledge(alert)}
    >
      {isUnderWay ? words.acknowledging : words.acknowledge}
    </button>
  );
}

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
        {awaitsAcknowledgement(alert) && <AcknowledgeButton alert={alert} />}
        {/* Whatever else a person may do with an alert, such as shelving it, has its button here. */}
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
