/** Alerts that somebody has shelved or taken out of service: folded away, counted, never gone. */
import type { ComponentChildren } from 'preact';
import type { Alert } from '../../daemon/api/contract.ts';
import { clockText } from '../format.ts';
import { firstBackMs, reviewsDue, type Places, type StateKind } from '../models/alert-states.ts';
import { texts } from '../texts.ts';
import { AlertCard } from './alert-card.tsx';
import { StateMark } from './alert-states.tsx';

const words = texts.alertStates;

interface FoldProps {
  kind: StateKind;
  heading: string;
  alerts: readonly Alert[];
  nowMs: number | null;
  children: ComponentChildren;
}

function Fold({ kind, heading, alerts, nowMs, children }: FoldProps) {
  return (
    <details class="put-away">
      <summary>
        <StateMark kind={kind} />
        <h3>{heading}</h3>
        <span>{children}</span>
      </summary>
      {alerts.map((alert) => (
        <AlertCard key={alert.id} alert={alert} nowMs={nowMs} />
      ))}
    </details>
  );
}

export function PutAway({ places, nowMs }: { places: Places; nowMs: number | null }) {
  const { shelved, outOfService } = places;
  const backMs = firstBackMs(shelved);
  const due = nowMs === null ? 0 : reviewsDue(outOfService, nowMs);
  return (
    <>
      {shelved.length > 0 && (
        <Fold
          kind="shelved"
          heading={words.shelvedHeading(shelved.length)}
          alerts={shelved}
          nowMs={nowMs}
        >
          {backMs !== null && words.firstBack(clockText(backMs, nowMs ?? backMs))}
        </Fold>
      )}
      {outOfService.length > 0 && (
        <Fold
          kind="outOfService"
          heading={words.serviceHeading(outOfService.length)}
          alerts={outOfService}
          nowMs={nowMs}
        >
          {due > 0 && words.due(due)}
        </Fold>
      )}
    </>
  );
}

/** How many are put away, with the way to them; for views that do not show them. */
export function PutAwayCount({ places: { shelved, outOfService } }: { places: Places }) {
  if (shelved.length + outOfService.length === 0) return null;
  const count = texts.list.and([
    ...(shelved.length > 0 ? [words.countShelved(shelved.length)] : []),
    ...(outOfService.length > 0 ? [words.countOutOfService(outOfService.length)] : []),
  ]);
  return (
    <p class="put-away-count">
      <a href="#alerts" aria-label={words.show(count)}>
        <StateMark kind={shelved.length > 0 ? 'shelved' : 'outOfService'} />
        <span>{count}</span>
      </a>
    </p>
  );
}
