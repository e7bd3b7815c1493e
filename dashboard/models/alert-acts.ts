/**
 * What a person may do about an alert as it stands. The boat judges it again and refuses in words
 * what has become impossible meanwhile; here nothing is offered that it would refuse now. Pure.
 */
import type { Alert } from '../../daemon/api/contract.ts';
import { awaitsAcknowledgement } from './alert-list.ts';
import { isPutAway } from './alert-states.ts';

/** Done with one touch, under a name; called as the API calls it. */
export type QuickAct = 'acknowledge' | 'silence' | 'unshelve' | 'in-service';
/** These ask for more than a name. */
export type FormAct = 'inspected' | 'shelve' | 'out-of-service';
export type ActName = QuickAct | FormAct;

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

const isStanding = ({ phase }: Alert): boolean =>
  phase === 'unacknowledged' || phase === 'acknowledged';

/** Makes a sound that can be stopped: stands, nobody acknowledged it, and nobody stopped it yet. */
const isLoud = (alert: Alert): boolean =>
  alert.phase === 'unacknowledged' &&
  alert.priority !== 'caution' &&
  alert.silenced === undefined &&
  !isPutAway(alert);

const CAN: Record<ActName, (alert: Alert) => boolean> = {
  acknowledge: awaitsAcknowledgement,
  inspected: (alert) => alert.needsInspection === true && !isStanding(alert),
  silence: isLoud,
  unshelve: ({ shelved }) => shelved !== undefined,
  'in-service': ({ outOfService }) => outOfService !== undefined,
  shelve: ({ phase, outOfService }) => phase !== 'latched' && outOfService === undefined,
  'out-of-service': ({ phase, priority }) => phase !== 'latched' && priority !== 'emergency alarm',
};

const IN_ORDER: readonly ActName[] = [
  'acknowledge',
  'inspected',
  'silence',
  'unshelve',
  'in-service',
  'shelve',
  'out-of-service',
];

/** What is offered, first what is called for most. Nothing for an alert that is closed. */
export function actsOn(alert: Alert): ActName[] {
  if (alert.phase === 'closed') return [];
  return IN_ORDER.filter((act) => CAN[act](alert));
}

/** Longest shelving, ms: 8 hours; 4 for an emergency alarm and for what needs an inspection. */
export function shelveMostMs({ priority, needsInspection }: Alert): number {
  return (priority === 'emergency alarm' || needsInspection === true ? 4 : 8) * HOUR_MS;
}

const SHELVE_LENGTHS_MS: readonly number[] = [HOUR_MS / 2, ...[1, 2, 4, 8].map((h) => h * HOUR_MS)];

/** How long an alert may be shelved for, ms, shortest first. */
export function shelveLengthsMs(alert: Alert): number[] {
  return SHELVE_LENGTHS_MS.filter((ms) => ms <= shelveMostMs(alert));
}

/** When what is out of service may be looked at again, ms from now; the last is the longest. */
export const REVIEW_LENGTHS_MS: readonly number[] = [1, 7, 30, 90].map((days) => days * DAY_MS);

/** The choice of an end that is written as date and time. */
export const OTHER_END = 'other';

/** The end that a form was filled in with, on the boat's clock; null where there is none. */
export function endFrom(
  chosen: unknown,
  written: unknown,
  nowMs: number,
  instantOf: (text: unknown) => number | null,
): number | null {
  if (chosen === OTHER_END) return instantOf(written);
  const lengthMs = typeof chosen === 'string' && chosen !== '' ? Number(chosen) : Number.NaN;
  return Number.isFinite(lengthMs) ? nowMs + lengthMs : null;
}
