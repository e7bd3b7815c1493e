/** Every alert: the open ones in full, those put away folded, then the past ones. */
import { useEffect } from 'preact/hooks';
import { replaceRoute, route } from '../browser-route.ts';
import { focusAlert } from '../focus.ts';
import { boatNowMs, openAlerts } from '../live.ts';
import { OpenAlerts } from '../parts/open-alerts.tsx';
import { PastAlerts } from '../parts/past-alerts.tsx';
import { PutAway } from '../parts/put-away.tsx';
import { texts } from '../texts.ts';

/** The alert that the address asks for, as a message does that somebody touched. */
function useAsked(): string | null {
  const { value } = route;
  return value.view === 'alerts' ? new URLSearchParams(value.query).get('alert') : null;
}

export function AlertsView() {
  const nowMs = boatNowMs.value;
  const asked = useAsked();
  const isKnown = openAlerts.value !== null;
  const isOpen = asked !== null && openAlerts.value?.has(asked) === true;
  useEffect(() => {
    if (asked === null || !isOpen) return;
    focusAlert(asked);
    // Looked at once: the address is that of the view again.
    replaceRoute({ view: 'alerts', query: '' });
  }, [asked, isOpen]);
  return (
    <>
      {asked !== null && isKnown && !isOpen && (
        <p role="status" class="soft">
          {texts.alerts.noLongerOpen}
        </p>
      )}
      <OpenAlerts putAway={(places) => <PutAway places={places} nowMs={nowMs} />} />
      <PastAlerts nowMs={nowMs} />
    </>
  );
}
