/** The open alerts in full, most urgent first, and under which name this browser answers them. */
import { naming } from '../acknowledging.ts';
import { ALERTS_HEADING } from '../focus.ts';
import { boatNowMs, openAlerts } from '../live.ts';
import { inOrder } from '../models/alert-list.ts';
import { ownName } from '../own-name.ts';
import { texts } from '../texts.ts';
import { AlertCard } from './alert-card.tsx';

export function OpenAlerts() {
  const open = openAlerts.value;
  const alerts = inOrder(open?.values() ?? []);
  return (
    <section class="alerts" aria-labelledby={ALERTS_HEADING}>
      <h2 id={ALERTS_HEADING} tabIndex={-1}>
        {texts.alerts.heading}
      </h2>
      {open === null && <p class="soft">{texts.alerts.notYet}</p>}
      {open !== null && alerts.length === 0 && <p class="soft">{texts.alerts.none}</p>}
      {alerts.map((alert) => (
        <AlertCard key={alert.id} alert={alert} nowMs={boatNowMs.value} />
      ))}
      {alerts.length > 0 && ownName.value !== '' && (
        <p class="soft own-name">
          {texts.naming.as(ownName.value)}{' '}
          <button
            type="button"
            class="quiet"
            onClick={() => {
              naming.value = { alert: null };
            }}
          >
            {texts.naming.change}
          </button>
        </p>
      )}
    </section>
  );
}
