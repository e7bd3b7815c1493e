/** A stretch of time by the name a person gives it: `August 2026`, or from when to when. */
import { calendarText, stretchText } from './format.ts';
import { unitOf } from './models/calendar.ts';
import { ownOffsetAt } from './models/local-input.ts';
import type { Stretch } from './models/stretch.ts';
import { texts } from './texts.ts';

export function periodText(stretch: Stretch): string {
  const unit = unitOf(stretch, ownOffsetAt);
  return unit === null
    ? stretchText(stretch, texts.history.shows)
    : calendarText(unit, stretch.fromMs);
}
