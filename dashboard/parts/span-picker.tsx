/** Over which time to draw: a named span up to now, or a period of the calendar. */
import { useState } from 'preact/hooks';
import type { Stretch } from '../models/stretch.ts';
import { SPAN_NAMES, type Span } from '../route.ts';
import { texts } from '../texts.ts';
import { calendarFrom, CalendarPicker, kindOf, type PeriodKind } from './calendar-picker.tsx';

const words = texts.history;
const KINDS: readonly PeriodKind[] = ['day', 'month', 'year', 'between'];

export interface SpanPickerProps {
  span: Span;
  /** What the span covers at this moment; null: not known yet. */
  instants: Stretch | null;
  nowMs: number | null;
  choose: (span: Span) => void;
}

const isSame = (a: Span, b: Stretch): boolean =>
  typeof a !== 'string' && a.fromMs === b.fromMs && a.toMs === b.toMs;

export function SpanPicker({ span, instants, nowMs, choose }: SpanPickerProps) {
  const [kind, setKind] = useState<PeriodKind | null>(null);
  const standing = typeof span === 'string' ? null : kindOf(span);
  const start = kind === 'between' ? instants : instants && calendarStart(kind, instants);
  const days = nowMs === null ? [] : [calendarFrom('day', nowMs), calendarFrom('day', nowMs, -1)];
  const quick = (next: Span) => {
    setKind(null);
    choose(next);
  };
  return (
    <fieldset class="spans">
      <legend>{words.span}</legend>
      <div class="span-buttons">
        {SPAN_NAMES.map((name) => (
          <button type="button" key={name} aria-pressed={span === name} onClick={() => quick(name)}>
            {words.spans[name]}
          </button>
        ))}
      </div>
      <div class="span-buttons">
        {days.map((day, index) => (
          <button
            type="button"
            key={words.days[index]}
            aria-pressed={isSame(span, day)}
            onClick={() => quick(day)}
          >
            {words.days[index]}
          </button>
        ))}
        {KINDS.map((own) => (
          <button
            type="button"
            key={own}
            aria-pressed={(kind ?? standing) === own && !days.some((day) => isSame(span, day))}
            aria-expanded={kind === own}
            onClick={() => setKind(kind === own ? null : own)}
          >
            {words.kinds[own]}
          </button>
        ))}
      </div>
      {kind !== null && start !== null && (
        <CalendarPicker key={kind} kind={kind} stretch={start} choose={choose} />
      )}
    </fieldset>
  );
}

/** The day, month or year in which what is shown ends. */
function calendarStart(kind: PeriodKind | null, { toMs }: Stretch): Stretch | null {
  return kind === null || kind === 'between' ? null : calendarFrom(kind, toMs - 1);
}
