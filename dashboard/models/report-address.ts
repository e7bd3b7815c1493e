/** What the address of a report says: its period, and whether events are printed. Pure. */
import { addStretch, stretchFrom } from '../route.ts';
import type { Stretch } from './stretch.ts';

export interface ReportChoice {
  /** Null: nobody has chosen. */
  span: Stretch | null;
  hasEvents: boolean;
}

/** Reads `from=…&to=…&events=no`; anything not understood counts as not said. */
export function readReport(query: string): ReportChoice {
  const given = new URLSearchParams(query);
  return { span: stretchFrom(given), hasEvents: given.get('events') !== 'no' };
}

/** `readReport` of it gives the same choice. */
export function reportQuery({ span, hasEvents }: ReportChoice): string {
  const query = new URLSearchParams();
  if (span !== null) addStretch(query, span);
  if (!hasEvents) query.set('events', 'no');
  return query.toString();
}
