/** Telling the boat something: what is asked for just now, and sending it. */
import { signal } from '@preact/signals';
import type { ModeBody } from '../daemon/api/contract.ts';
import { postMode, postStatement } from './api.ts';
import type { Answer } from './api.ts';
import { keepName } from './own-name.ts';

/** A selector or main switch that somebody has turned. */
export interface Turned {
  id: string;
  label: string;
  /** What it may stand on: as the API names it, and as a person reads it. */
  places: readonly { name: string; label: string }[];
  /** Somebody's word is what it is known by. */
  isStated: boolean;
}

export type AskedFor = { of: 'mode' } | { of: 'position'; turned: Turned };

/** What the open form asks for; null: no form is open. */
export const askedFor = signal<AskedFor | null>(null);

/** Null where the boat has taken it, else why it has not, in words for a person. */
type Outcome = Promise<string | null>;

async function outcomeOf(asked: Promise<Answer<unknown>>, by: string): Outcome {
  keepName(by);
  const said = await asked;
  return said.ok ? null : said.problem;
}

/** Says what the boat is about, until an instant or without an end (null). */
export const sayMode = (mode: ModeBody['mode'], untilMs: number | null, by: string): Outcome =>
  outcomeOf(postMode({ mode, by, ...(untilMs === null ? {} : { untilMs }) }), by);

/** Says where a selector or main switch stands; null takes back what was said. */
export const sayPosition = (part: string, position: string | null, by: string): Outcome =>
  outcomeOf(postStatement({ part, position, by }), by);
