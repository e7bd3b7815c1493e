/** The open alerts in full, most urgent first, and under which name this browser answers them. */
import type { ComponentChildren } from 'preact';
import { naming } from '../acting.ts';
import { ALERTS_HEADING } from '../focus.ts';
import { boatNowMs, openAlerts } from '../live.ts';
import { inOrder } from '../models/alert-list.ts';
import { placesOf, type Places } from '../models/alert-states.ts';
import { isNameFixed, ownName } from '../own-name.ts';
import { texts } from '../texts.ts';
import { WhyNoActs } from './why-not.tsx';
import { AlertCard } from './alert-card.tsx';

const words = texts.alerts;

function OwnName() {
  return (
    <p class="soft own-name">
      {texts.naming.as(ownName.value)}{' '}
      <button
        type="button"
        class="quiet"
        onClick={() => {
          naming.value = { asked: null };
        }}
      >
        {texts.naming.change}
      </button>
    </p>
  );
}

/** `putAway` shows, or counts, those that somebody has put away. */
export function OpenAlerts({ putAway }: { putAway: (places: Places) => ComponentChildren }) {
  const open = openAlerts.value;
  const alerts = inOrder(open?.values() ?? []);
  const places = placesOf(alerts);
  return (
    <section class="alerts" aria-labelledby={ALERTS_HEADING}>
      <h2 id={ALERTS_HEADING} tabIndex={-1}>
        {words.heading}
      </h2>
      {open === null && <p class="soft">{words.notYet}</p>}
      {open !== null && places.told.length === 0 && (
        <p class="soft">{alerts.length === 0 ? words.none : words.noOther}</p>
      )}
      {places.told.map((alert) => (
        <AlertCard key={alert.id} alert={alert} nowMs={boatNowMs.value} />
      ))}
      {putAway(places)}
      {alerts.length > 0 && <WhyNoActs />}
      {alerts.length > 0 && ownName.value !== '' && !isNameFixed.value && <OwnName />}
    </section>
  );
}
