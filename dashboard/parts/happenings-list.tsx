/** What happened in the time of the charts; each leads to its moment on them. */
import { useState } from 'preact/hooks';
import type { PanelEvent } from '../../daemon/api/contract.ts';
import { instantText } from '../format.ts';
import type { AlertBand } from '../models/bands.ts';
import { happeningsOf, holding, type Happening } from '../models/happenings.ts';
import type { Stretch } from '../models/stretch.ts';
import { texts } from '../texts.ts';
import { PriorityMark } from './mark.tsx';

const words = texts.happenings;
const PAGE = 60;

export interface HappeningsListProps {
  events: readonly PanelEvent[];
  alerts: readonly AlertBand[];
  span: Stretch;
  /** Address of an instant on the charts. */
  addressOf: (atMs: number) => string;
  /** The moment that is marked; null: none. */
  markedMs: number | null;
  isCut: boolean;
}

function Row({
  happening,
  span,
  addressOf,
  markedMs,
}: { happening: Happening } & Omit<HappeningsListProps, 'events' | 'alerts' | 'isCut'>) {
  const { atMs, text, priority } = happening;
  const isMarked = markedMs !== null && Math.round(atMs) === Math.round(markedMs);
  return (
    <li>
      <a href={addressOf(atMs)} aria-current={isMarked ? 'true' : undefined}>
        <span class="number">{instantText(atMs, span)}</span>
        <span>
          {priority !== null && (
            <>
              <PriorityMark priority={priority} />{' '}
              <strong>{texts.alerts.priority[priority]}:</strong>{' '}
            </>
          )}
          {text}
        </span>
      </a>
    </li>
  );
}

export function HappeningsList(props: HappeningsListProps) {
  const [typed, setTyped] = useState('');
  const [shown, setShown] = useState(PAGE);
  const all = happeningsOf(props.events, props.alerts);
  const found = holding(all, typed);
  return (
    <section class="moments" aria-labelledby="happenings-heading">
      <h3 id="happenings-heading">{words.heading}</h3>
      {all.length > 0 && (
        <label>
          {words.find}
          <input
            type="search"
            value={typed}
            onInput={(event) => setTyped(event.currentTarget.value)}
          />
        </label>
      )}
      {all.length === 0 && <p class="soft">{words.none}</p>}
      {all.length > 0 && found.length === 0 && (
        <p class="soft" role="status">
          {words.noneFound}
        </p>
      )}
      <ol>
        {found.slice(0, shown).map((happening) => (
          <Row key={happening.key} happening={happening} {...props} />
        ))}
      </ol>
      {found.length > shown && (
        <button type="button" onClick={() => setShown(shown + PAGE)}>
          {words.older(Math.min(PAGE, found.length - shown))}
        </button>
      )}
      {props.isCut && <p class="soft">{words.cut}</p>}
    </section>
  );
}
