/** What is so about an alert besides its phase, in words, and where that puts it on the page. Pure. */
import type { Alert } from '../../daemon/api/contract.ts';
import { clockText, secondsText } from '../format.ts';
import { texts } from '../texts.ts';

const words = texts.alertStates;

export type StateKind =
  'latched' | 'escalated' | 'silenced' | 'shelved' | 'outOfService' | 'chattering' | 'flood';

export interface AlertState {
  kind: StateKind;
  text: string;
}

/** A person has put it away: told to nobody until it comes back. */
export const isPutAway = ({ shelved, outOfService }: Alert): boolean =>
  shelved !== undefined || outOfService !== undefined;

/** Its sign moves: it stands, and nobody has acknowledged, silenced or put it away. */
export const isWaking = (alert: Alert): boolean =>
  alert.phase === 'unacknowledged' && alert.silenced === undefined && !isPutAway(alert);

export interface Places {
  /** In sight everywhere. */
  told: Alert[];
  /** Folded away on the view of alerts. */
  shelved: Alert[];
  outOfService: Alert[];
}

/** Where each open alert stands; the order stays. */
export function placesOf(alerts: readonly Alert[]): Places {
  return {
    told: alerts.filter((alert) => !isPutAway(alert)),
    shelved: alerts.filter(({ shelved }) => shelved !== undefined),
    outOfService: alerts.filter(({ outOfService }) => outOfService !== undefined),
  };
}

function shelvedText({ shelved }: Alert, nowMs: number): string | null {
  if (shelved === undefined) return null;
  const until = clockText(shelved.untilMs, nowMs);
  return words.shelved(shelved.by, clockText(shelved.atMs, nowMs), until, shelved.reason ?? null);
}

function serviceText({ outOfService }: Alert, nowMs: number): string | null {
  if (outOfService === undefined) return null;
  const { by, atMs, reason, reviewAtMs } = outOfService;
  const review = clockText(reviewAtMs, nowMs);
  return [
    words.outOfService(by, clockText(atMs, nowMs), reason),
    nowMs < reviewAtMs ? words.review(review) : words.reviewDue(review),
  ].join(' ');
}

function escalatedText({ phase, escalation }: Alert): string | null {
  // Its steps are kept in mind for a while after it is over.
  if (phase !== 'unacknowledged' || escalation === undefined || escalation.step === 0) return null;
  return words.escalated(escalation.step);
}

/** Everything that is so, what asks most of a person first. A silence may be over within seconds. */
export function statesOf(alert: Alert, nowMs: number): AlertState[] {
  const { phase, silenced, chattering, inFlood } = alert;
  const said: [StateKind, string | null | undefined][] = [
    ['latched', phase === 'latched' ? words.latched : null],
    ['escalated', escalatedText(alert)],
    ['silenced', silenced && words.silenced(silenced.by, secondsText(silenced.untilMs))],
    ['shelved', shelvedText(alert, nowMs)],
    ['outOfService', serviceText(alert, nowMs)],
    ['chattering', chattering && words.chattering(chattering.times)],
    ['flood', inFlood === undefined ? null : words.flood],
  ];
  return said.flatMap(([kind, text]) => (typeof text === 'string' ? [{ kind, text }] : []));
}

/** When the first of these comes back by itself; null where none is shelved. */
export function firstBackMs(alerts: readonly Alert[]): number | null {
  const ends = alerts.flatMap(({ shelved }) => (shelved === undefined ? [] : [shelved.untilMs]));
  return ends.length === 0 ? null : Math.min(...ends);
}

/** How many wait for the review that somebody asked for. */
export const reviewsDue = (alerts: readonly Alert[], nowMs: number): number =>
  alerts.filter(({ outOfService }) => outOfService && outOfService.reviewAtMs <= nowMs).length;
