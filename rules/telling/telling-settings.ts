/** Who is told, by which ways and when: what the section `telling` of the settings says. */
import type { Mode, Priority } from '../alerts/alert.ts';

/** When somebody is told: at once, if nobody has acknowledged for two minutes, or for five. */
export const TOLD = ['first', 'second', 'everybody'] as const;
export type ToldWhen = (typeof TOLD)[number];

/** First day of the week first, as ISO 8601 counts. */
export const WEEKDAYS = [
  'monday',
  'tuesday',
  'wednesday',
  'thursday',
  'friday',
  'saturday',
  'sunday',
] as const;
export type Weekday = (typeof WEEKDAYS)[number];

/** `HH:MM`, 00:00 to 23:59, on the wall clock of the settings' zone. */
export type HourAndMinute = string;

export interface Contact {
  name: string;
  told: ToldWhen;
  /** Ids of ways out; one letter goes by each. */
  ways: readonly string[];
  /** Less urgent than this is not told. */
  priority: Priority;
  /** Modes of the boat in which this person is told; emergency alarms are told in all. */
  modes: readonly Mode[];
  /** Warnings wait meanwhile; alarms do not. May reach over midnight. */
  quiet?: { from: HourAndMinute; to: HourAndMinute } | undefined;
  /** One line every morning, that all is well or what is not. */
  morningLine?: HourAndMinute | undefined;
  weekly?: { day: Weekday; at: HourAndMinute } | undefined;
}

export interface TellingSettings {
  /** By id. */
  contacts: Readonly<Record<string, Contact>>;
  /** Name of the IANA time zone database, e.g. `Europe/Amsterdam`. */
  timeZone: string;
}
