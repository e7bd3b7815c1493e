/**
 * Telling the boat something: what is asked for just now, and sending it. Acts on an alert that ask
 * for more than a name are told here too.
 */
import { signal } from '@preact/signals';
import type { AcknowledgeAnswer, Alert, ModeBody } from '../daemon/api/contract.ts';
import { postAct, postMode, postOutOfService, postShelve, postStatement } from './api.ts';
import type { Answer } from './api.ts';
import { focusAlertLater } from './focus.ts';
import { takeAnswered } from './live.ts';
import type { FormAct } from './models/alert-acts.ts';
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

export type AskedFor =
  { of: 'mode' } | { of: 'position'; turned: Turned } | { of: FormAct; alert: Alert };

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

async function actOutcome(
  { id }: Alert,
  asked: Promise<Answer<AcknowledgeAnswer>>,
  by: string,
): Outcome {
  keepName(by);
  const said = await asked;
  if (!said.ok) return said.problem;
  takeAnswered(said.answer.alert);
  focusAlertLater(id);
  return null;
}

/** Puts an alert away until an instant of the boat's clock; an empty reason is none. */
export function sayShelve(alert: Alert, untilMs: number, reason: string, by: string): Outcome {
  const body = { untilMs, by, ...(reason === '' ? {} : { reason }) };
  return actOutcome(alert, postShelve(alert.id, body), by);
}

/** Takes an alert out of service, to be looked at again at an instant of the boat's clock. */
export const sayOutOfService = (
  alert: Alert,
  reviewAtMs: number,
  reason: string,
  by: string,
): Outcome => actOutcome(alert, postOutOfService(alert.id, { reviewAtMs, reason, by }), by);

/** Says that somebody has looked at what the alert was about. */
export const sayInspected = (alert: Alert, by: string): Outcome =>
  actOutcome(alert, postAct(alert.id, 'inspected', { by }), by);
