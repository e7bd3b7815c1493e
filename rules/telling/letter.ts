/**
 * What leaves the boat: one message for one person by one way. Written by `Telling`, which is pure;
 * kept and sent by whoever has the disk and the network.
 */
import type { Priority } from '../alerts/alert.ts';

export type LetterKind =
  /** About one alert: raised, worse, still not acknowledged. */
  | 'alert'
  /** What an earlier letter told of is over. */
  | 'all clear'
  /** Many at once: a flood, or what gathered while nothing could leave the boat. */
  | 'digest'
  | 'morning line'
  | 'weekly summary'
  /** panelward about itself. */
  | 'self'
  | 'test';

/** An alert as a letter tells of it, for whoever makes one letter out of many. */
export interface ToldAlert {
  alertId: string;
  priority: Priority;
  /** One line of the rule's own. */
  title: string;
  sinceMs: number;
  /** When its condition was over; null where it held as the letter was written. */
  overAtMs: number | null;
}

/** Instants are on the daemon's clock; only the words tell the hours of the boat's own zone. */
export interface Letter {
  /**
   * Unique for ever on one boat and made of what the letter is about: kind, alert and event number,
   * contact and way. The same letter written again has the same key, and is not sent twice.
   */
  key: string;
  kind: LetterKind;
  /** Id of the contact in the settings. */
  contact: string;
  /** Id of the way out in the settings. */
  way: string;
  priority: Priority;
  /** Null where it is about no single alert. */
  alertId: string | null;
  /** Alerts that it tells of, the most urgent first; none in a morning line. */
  about: ToldAlert[];
  /** Name of the boat, as people say it. */
  boat: string;
  /** First line, whole and plain by itself: boat, what, since when; at most 160 characters. */
  headline: string;
  /** Lines of plain text below it: so what in hours, do this, the cautions. */
  text: string;
  writtenAtMs: number;
  /** Not sent before: it is grouped with others, or the contact sleeps. */
  dueAtMs: number;
  /** Not worth sending after: the digest then tells of it. */
  expiresAtMs: number;
}
