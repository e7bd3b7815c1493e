/** What the telling remembers, as plain JSON. */
import type { Alert, Priority } from '../alerts/alert.ts';
import type { SavedTally } from './tally.ts';

/** Why somebody is to be told. `again`: nobody acknowledges, or it has been there for a day. */
export type Reason = 'new' | 'worse' | 'again' | 'over';

export interface Owed {
  why: Reason;
  sinceMs: number;
  /** Number of the event that made it so: it makes the letter's key. */
  seq: number;
}

/** What one person knows of one alert, and is still to be told. */
export interface Knowing {
  owed: Owed | null;
  /** Null: nothing yet. */
  told: { priority: Priority; atMs: number; repeats: number } | null;
  /** Letters that only say once more what was said; true no more once somebody acknowledges. */
  repeatKeys: string[];
  /** Was told of it before it was put away, or of what it explains: hears when it is over. */
  hearsTheEnd?: true;
}

export interface Story {
  alert: Omit<Alert, 'evidence' | 'points'>;
  /** Number of the event since which it stands as it does: raised, worse, come back, over. */
  seq: number;
  /** How far it has come because nobody acknowledges: 0 first contacts, 1 second, 2 everybody. */
  reach: number;
  /** When its condition was over; null while it holds. */
  overAtMs: number | null;
  /** Since when the inlet of a shore loss is live again in every leg; null while it is not. */
  liveSinceMs: number | null;
  /** By the id of the contact. */
  people: Record<string, Knowing>;
}

/** What has gone to one person. */
export interface Sent {
  /** When letters were written, of the last hour. */
  writtenAtMs: number[];
  /** Local date of the last one of each kind. */
  morningLine: string | null;
  weekly: string | null;
  /** Less than alarms that came and went while they waited. */
  unsaid: Priority[];
}

export interface TellingMemory {
  version: number;
  /** By the id of the alert. */
  stories: Record<string, Story>;
  /** By the id of the contact. */
  sent: Record<string, Sent>;
  tally: SavedTally;
}

export const VERSION = 1;

export const nothingSent = (): Sent => ({
  writtenAtMs: [],
  morningLine: null,
  weekly: null,
  unsaid: [],
});

export const nothingKnown = (): Knowing => ({ owed: null, told: null, repeatKeys: [] });
