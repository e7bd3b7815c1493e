/** Every alert: the open ones in full, those put away folded, then the past ones. */
import { boatNowMs } from '../live.ts';
import { OpenAlerts } from '../parts/open-alerts.tsx';
import { PastAlerts } from '../parts/past-alerts.tsx';
import { PutAway } from '../parts/put-away.tsx';

export function AlertsView() {
  const nowMs = boatNowMs.value;
  return (
    <>
      <OpenAlerts putAway={(places) => <PutAway places={places} nowMs={nowMs} />} />
      <PastAlerts nowMs={nowMs} />
    </>
  );
}
