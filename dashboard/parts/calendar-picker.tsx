/** A day, month or year of the calendar, or from one instant to another. */
import type { TargetedSubmitEvent } from 'preact';
import { useState } from 'preact/hooks';
import {
  dateInput,
  dayOf,
  fromDateInput,
  fromYearInput,
  unitOf,
  wholeOf,
  type CalendarUnit,
} from '../models/calendar.ts';
import { fromLocalInput, ownOffsetAt, toLocalInput } from '../models/local-input.ts';
import type { Stretch } from '../models/stretch.ts';
import { monthName } from '../format.ts';
import { texts } from '../texts.ts';

const words = texts.history;
const MONTHS = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12];

export type PeriodKind = CalendarUnit | 'between';

/** Which kind of period a stretch is by itself. */
export const kindOf = (stretch: Stretch): PeriodKind => unitOf(stretch, ownOffsetAt) ?? 'between';

/** The whole day, month or year so many of them from the one an instant lies in. */
export function calendarFrom(unit: CalendarUnit, atMs: number, later = 0): Stretch {
  return wholeOf(unit, dayOf(atMs, ownOffsetAt), ownOffsetAt, later);
}

type Given = FormData;

/** What the form says; null where it makes no period. */
function periodFrom(kind: PeriodKind, given: Given): Stretch | null {
  if (kind === 'between') {
    const fromMs = fromLocalInput(given.get('from'), ownOffsetAt);
    const toMs = fromLocalInput(given.get('to'), ownOffsetAt);
    return fromMs !== null && toMs !== null && toMs > fromMs ? { fromMs, toMs } : null;
  }
  if (kind === 'day') {
    const day = fromDateInput(given.get('day'));
    return day && wholeOf('day', day, ownOffsetAt);
  }
  const year = fromYearInput(given.get('year'));
  const month = kind === 'month' ? Number(given.get('month')) : 1;
  return year === null ? null : wholeOf(kind, { year, month, day: 1 }, ownOffsetAt);
}

const PROBLEMS: Readonly<Record<PeriodKind, string>> = {
  between: words.wrongSpan,
  day: words.wrongDay,
  month: words.wrongYear,
  year: words.wrongYear,
};

function Fields({ kind, stretch }: { kind: PeriodKind; stretch: Stretch }) {
  const { fromMs, toMs } = stretch;
  const day = dayOf(fromMs, ownOffsetAt);
  const local = (atMs: number) => toLocalInput(atMs, ownOffsetAt(atMs));
  if (kind === 'between') {
    return (
      <>
        <label>
          {words.from}
          <input type="datetime-local" name="from" defaultValue={local(fromMs)} />
        </label>
        <label>
          {words.to}
          <input type="datetime-local" name="to" defaultValue={local(toMs)} />
        </label>
      </>
    );
  }
  if (kind === 'day') {
    return (
      <label>
        {words.kinds.day}
        <input type="date" name="day" defaultValue={dateInput(day)} />
      </label>
    );
  }
  return (
    <>
      {kind === 'month' && (
        <label>
          {words.kinds.month}
          <select name="month" defaultValue={String(day.month)}>
            {MONTHS.map((month) => (
              <option key={month} value={String(month)} selected={month === day.month}>
                {monthName(month)}
              </option>
            ))}
          </select>
        </label>
      )}
      <label>
        {words.kinds.year}
        <input name="year" inputMode="numeric" defaultValue={String(day.year)} />
      </label>
    </>
  );
}

export interface CalendarPickerProps {
  kind: PeriodKind;
  /** What the fields hold at first. */
  stretch: Stretch;
  choose: (stretch: Stretch) => void;
}

export function CalendarPicker({ kind, stretch, choose }: CalendarPickerProps) {
  const [problem, setProblem] = useState<string | null>(null);
  const show = (event: TargetedSubmitEvent<HTMLFormElement>) => {
    event.preventDefault();
    const period = periodFrom(kind, new FormData(event.currentTarget));
    setProblem(period === null ? PROBLEMS[kind] : null);
    if (period !== null) choose(period);
  };
  return (
    <form class="between" onSubmit={show} noValidate>
      <Fields key={`${kind} ${stretch.fromMs} ${stretch.toMs}`} kind={kind} stretch={stretch} />
      <button type="submit">{words.show}</button>
      <p class="problem" role="alert">
        {problem}
      </p>
    </form>
  );
}
