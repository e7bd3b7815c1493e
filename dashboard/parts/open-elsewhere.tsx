/** Open alerts in one line each, on the views that do not show them in full. */
import { openAlerts } from '../live.ts';
import { inOrder } from '../models/alert-list.ts';
import { placesOf } from '../models/alert-states.ts';
import { texts } from '../texts.ts';
import { PriorityMark } from './mark.tsx';
import { PutAwayCount } from './put-away.tsx';

export function OpenElsewhere() {
  const alerts = inOrder(openAlerts.value?.values() ?? []);
  if (alerts.length === 0) return null;
  const places = placesOf(alerts);
  return (
    <nav class="open-elsewhere" aria-label={texts.openElsewhere}>
      {places.told.length > 0 && (
        <ul>
          {places.told.map(({ id, priority, phase, title }) => (
            <li key={id}>
              <a href="#alerts" data-priority={priority} data-phase={phase}>
                <PriorityMark priority={priority} />
                <span>
                  <strong>{texts.alerts.priority[priority]}</strong> {title}
                </span>
              </a>
            </li>
          ))}
        </ul>
      )}
      <PutAwayCount places={places} />
    </nav>
  );
}
