/** Every alert: the open ones in full, then the past ones. */
import { boatNowMs } from '../live.ts';
import { OpenAlerts } from '../parts/open-alerts.tsx';
import { PastAlerts } from '../parts/past-alerts.tsx';

export function AlertsView() {
  return (
    <>
      <OpenAlerts />
      <PastAlerts nowMs={boatNowMs.value} />
    </>
  );
}
