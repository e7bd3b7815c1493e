/** Always in sight: the way to the other views, how many alerts are open, and the safety line. */
import { health, openAlerts } from '../live.ts';
import { inOrder } from '../models/alert-list.ts';
import { VIEWS, type ViewName } from '../route.ts';
import { texts } from '../texts.ts';
import { PriorityMark } from './mark.tsx';

function OpenCount() {
  const [first, ...others] = inOrder(openAlerts.value?.values() ?? []);
  if (first === undefined) return null;
  const count = others.length + 1;
  return (
    <span class="open-count" data-priority={first.priority} data-phase={first.phase}>
      <PriorityMark priority={first.priority} />
      <span aria-hidden="true">{count}</span>
      <span class="for-ears">, {texts.openCount(count)}</span>
    </span>
  );
}

/** panelward's own trouble, a disk that refuses say, must not hide on a page nobody opens. */
function HealthMark() {
  if (health.value?.status !== 'degraded') return null;
  return (
    <span class="open-count" data-priority="caution">
      <PriorityMark priority="caution" />
      <span class="for-ears">, {texts.health.needsAttention}</span>
    </span>
  );
}

export function Foot({ view }: { view: ViewName }) {
  return (
    <footer>
      <nav aria-label={texts.viewsLabel}>
        <ul>
          {VIEWS.map((name) => (
            <li key={name}>
              <a href={`#${name}`} aria-current={view === name ? 'page' : undefined}>
                {texts.views[name]}
                {name === 'now' && <OpenCount />}
                {name === 'health' && <HealthMark />}
              </a>
            </li>
          ))}
        </ul>
      </nav>
      <p class="safety">{texts.safety.join(' ')}</p>
    </footer>
  );
}
