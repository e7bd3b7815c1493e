/** Always in sight: the way to the other views, how many alerts are open, and the safety line. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { health, openAlerts } from '../live.ts';
import { inOrder } from '../models/alert-list.ts';
import { isWaking, placesOf } from '../models/alert-states.ts';
import { VIEWS, type ViewName } from '../route.ts';
import { texts } from '../texts.ts';
import { PriorityMark } from './mark.tsx';

/** On a phone these have their own place; the rest folds behind one button. */
const ALWAYS: ReadonlySet<ViewName> = new Set(['now', 'circuits', 'alerts', 'history']);
const MORE = 'more-views';

function OpenCount() {
  const { told } = placesOf(inOrder(openAlerts.value?.values() ?? []));
  const [first] = told;
  if (first === undefined) return null;
  const count = told.length;
  return (
    <span class="open-count" data-priority={first.priority} data-waking={told.some(isWaking)}>
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

function ViewLink({ name, view }: { name: ViewName; view: ViewName }) {
  return (
    <li>
      <a href={`#${name}`} aria-current={view === name ? 'page' : undefined}>
        {texts.views[name]}
        {name === 'alerts' && <OpenCount />}
        {name === 'health' && <HealthMark />}
      </a>
    </li>
  );
}

/** Folds the less used views away; where there is room, the style sheet shows them all the same. */
function MoreViews({ view }: { view: ViewName }) {
  const [isOpen, setOpen] = useState(false);
  const own = useRef<HTMLLIElement>(null);
  const button = useRef<HTMLButtonElement>(null);
  const isHere = !ALWAYS.has(view);
  useEffect(() => setOpen(false), [view]);

  const onKey = (event: KeyboardEvent) => {
    if (event.key !== 'Escape' || !isOpen) return;
    setOpen(false);
    button.current?.focus();
  };
  const onLeave = (event: FocusEvent) => {
    const next = event.relatedTarget;
    if (!(next instanceof Node && own.current?.contains(next) === true)) setOpen(false);
  };
  return (
    <li class="more" ref={own} onKeyDown={onKey} onFocusOut={onLeave}>
      <button
        type="button"
        ref={button}
        aria-expanded={isOpen}
        aria-controls={MORE}
        data-here={isHere}
        onClick={() => setOpen(!isOpen)}
      >
        {texts.more}
        <HealthMark />
      </button>
      <ul id={MORE} data-open={isOpen}>
        {VIEWS.filter((name) => !ALWAYS.has(name)).map((name) => (
          <ViewLink key={name} name={name} view={view} />
        ))}
      </ul>
    </li>
  );
}

export function Foot({ view }: { view: ViewName }) {
  return (
    <footer>
      <nav aria-label={texts.viewsLabel}>
        <ul>
          {VIEWS.filter((name) => ALWAYS.has(name)).map((name) => (
            <ViewLink key={name} name={name} view={view} />
          ))}
          <MoreViews view={view} />
        </ul>
      </nav>
      <p class="safety">{texts.safety.join(' ')}</p>
    </footer>
  );
}
