/**
 * Looks at a ledger from outside, step by step, and fails where one of the promises about the life
 * of alerts is broken. It knows the promises, not how they are kept.
 */
import type { Alert, AlertEvent, Priority } from '../../../rules/alerts/alert.ts';
import { PRIORITIES } from '../../../rules/alerts/alert.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;

const rank = (priority: Priority): number => PRIORITIES.indexOf(priority);
const isStanding = ({ phase }: Alert): boolean =>
  phase === 'unacknowledged' || phase === 'acknowledged';
const isMuted = (alert: Alert): boolean => Boolean(alert.shelved ?? alert.outOfService);
const isUrgent = ({ priority }: Alert): boolean =>
  priority === 'alarm' || priority === 'emergency alarm';

/** Only a person does these. */
const ACTS: ReadonlySet<AlertEvent['type']> = new Set([
  'acknowledged',
  'silenced',
  'shelved',
  'out of service',
  'back in service',
  'inspected',
]);

/** From which phases an event leads to which, `-` being none. */
const PATHS: Record<AlertEvent['type'], RegExp> = {
  raised: /^(-|returned|latched)>unacknowledged$/,
  acknowledged: /^(unacknowledged>acknowledged|returned>(closed|latched))$/,
  returned: /^(unacknowledged>(returned|closed)|acknowledged>(returned|closed|latched))$/,
  closed: />closed$/,
  folded: /^(unacknowledged|acknowledged|returned|latched)>(closed|returned|latched)$/,
  held: /^(unacknowledged>unacknowledged|acknowledged>acknowledged)$/,
  resumed: /^(unacknowledged>unacknowledged|acknowledged>acknowledged)$/,
  'priority changed': /^(unacknowledged|acknowledged)>(unacknowledged|acknowledged)$/,
  silenced: /^unacknowledged>unacknowledged$/,
  'silence over': /^unacknowledged>unacknowledged$/,
  shelved: /^(\w+)>\1$/,
  'shelving ends soon': /^(\w+)>\1$/,
  unshelved: /^((un)?acknowledged>unacknowledged|returned>(returned|closed)|latched>latched)$/,
  'out of service': /^(\w+)>\1$/,
  'review due': /^(\w+)>\1$/,
  'back in service':
    /^((un)?acknowledged>unacknowledged|returned>(returned|closed)|latched>latched)$/,
  escalated: /^unacknowledged>unacknowledged$/,
  're-alarmed': /^acknowledged>unacknowledged$/,
  chattering: /^(unacknowledged>unacknowledged|acknowledged>acknowledged)$/,
  'symptom joined': /^(\w+)>\1$/,
  inspected: /^(returned|latched)>closed$/,
  'taken up': /^(\w+)>\1$/,
};

/** What of an alert must be on record to the letter; its words and numbers change without a step. */
const stateOf = (alert: Alert | undefined): unknown =>
  alert && {
    id: alert.id,
    phase: alert.phase,
    priority: alert.priority,
    by: alert.acknowledgedBy,
    at: alert.acknowledgedAtMs,
    returned: alert.returnedAtMs,
    isHeld: alert.isHeld,
    silenced: alert.silenced,
    shelved: alert.shelved,
    outOfService: alert.outOfService,
    step: alert.escalation?.step,
    symptoms: alert.symptoms.map(({ key }) => key).sort(),
  };

/** Throws if a promise is broken. (A million lives are too many for a slower way to say it.) */
export function keeps(isKept: boolean, promise: string, more?: unknown): void {
  if (isKept) return;
  throw new Error(`broken: ${promise}${more === undefined ? '' : `: ${JSON.stringify(more)}`}`);
}

const known = new Map<string, boolean>();

function isPath(type: AlertEvent['type'], from: string, to: string): boolean {
  const name = `${type} ${from}>${to}`;
  const found = known.get(name) ?? PATHS[type].test(`${from}>${to}`);
  known.set(name, found);
  return found;
}

export class LifeWitness {
  readonly #record = new Map<string, Alert>();
  readonly #raisedAtMs = new Map<string, number[]>();
  #openCount = 0;
  #seq = 0;
  #lastMs = -Infinity;

  /** After every act and every evaluation. */
  notes(events: readonly AlertEvent[], open: readonly Alert[], nowMs: number): void {
    for (const event of events) this.#notesEvent(event, nowMs);
    keeps(open.length === this.#openCount, 'never lost: what is open on the record is open', open);
    for (const alert of open) {
      const [own, now] = [stateOf(this.#record.get(alert.id)), stateOf(alert)];
      keeps(JSON.stringify(own) === JSON.stringify(now), 'each step is an event', [own, now]);
    }
  }

  /** After an evaluation: nothing that was due is left undone. */
  isUpToDate(open: readonly Alert[], nowMs: number): void {
    for (const alert of open) this.#isUpToDate(alert, nowMs);
  }

  #isUpToDate(alert: Alert, nowMs: number): void {
    const { shelved, silenced, outOfService, escalation, reAlarmAtMs, phase } = alert;
    const isAhead = (ms: number | undefined): boolean => ms === undefined || ms > nowMs;
    keeps(isAhead(shelved?.untilMs), 'shelved always comes back', alert);
    keeps(isAhead(silenced?.untilMs), 'silence ends by itself', alert);
    keeps(isAhead(outOfService?.nextReviewAtMs), 'a review that is due is told', alert);
    if (isMuted(alert)) return;
    if (phase === 'unacknowledged' && isUrgent(alert)) {
      const isNext = escalation !== undefined && isAhead(escalation.nextAtMs);
      keeps(isNext, 'what nobody acknowledges is told again', alert);
    }
    keeps(phase !== 'acknowledged' || isAhead(reAlarmAtMs), 'what stands long is told anew', alert);
  }

  #notesEvent(event: AlertEvent, nowMs: number): void {
    const { alert, type, atMs, actor } = event;
    const before = this.#record.get(alert.id);
    keeps(event.seq === this.#seq + 1, 'numbers without gaps', event);
    keeps(atMs === nowMs && atMs >= this.#lastMs, 'time never runs backwards', event);
    this.#seq = event.seq;
    this.#lastMs = atMs;
    keeps(before?.phase !== 'closed', 'closed stays closed', event);
    const from = before?.phase ?? '-';
    keeps(isPath(type, from, alert.phase), 'every step is one of the state model', [from, event]);
    const isByPerson = actor !== 'panelward';
    keeps(type === 'unshelved' || isByPerson === ACTS.has(type), 'it says who', event);
    this.#isSound(alert, atMs);
    if (before) this.#follows(before, event);
    if (type === 'raised') this.#comes(event);
    if (!before) this.#openCount += 1;
    if (alert.phase === 'closed') this.#openCount -= 1;
    this.#record.set(alert.id, alert);
  }

  #isSound(alert: Alert, atMs: number): void {
    const { shelved, outOfService, phase, acknowledgedBy } = alert;
    keeps(!(shelved && outOfService), 'put away in one way at most', alert);
    const isOrdered = alert.sinceMs <= alert.raisedAtMs && alert.raisedAtMs <= atMs;
    keeps(isOrdered, 'it began, was raised, is now', alert);
    const isSeen = phase === 'acknowledged' || phase === 'latched';
    const isUnseen = phase === 'unacknowledged';
    keeps(acknowledgedBy === 'Kim' || !isSeen, 'only a person acknowledges', alert);
    keeps(acknowledgedBy === null || !isUnseen, 'not acknowledged by anybody', alert);
    keeps(phase !== 'latched' || alert.needsInspection === true, 'latched for a look', alert);
    const isDone = phase === 'returned' && !isMuted(alert) && acknowledgedBy !== null;
    keeps(!isDone, 'over and acknowledged is closed', alert);
    keeps((alert.returnedAtMs === null) === isStanding(alert), 'over or not', alert);
    keeps(isStanding(alert) || !(alert.isHeld || alert.silenced), 'over is over', alert);
    if (shelved) {
      const mostMs = (shelved.priority === 'emergency alarm' ? 4 : 8) * HOUR_MS;
      keeps(shelved.untilMs - shelved.atMs <= mostMs, 'shelved for a bounded time', alert);
    }
    keeps(outOfService?.priority !== 'emergency alarm', 'no emergency out of service', alert);
    const isBare = !isMuted(alert) && !alert.escalation && !alert.chattering;
    keeps(phase !== 'closed' || isBare, 'nothing is pending of what is closed', alert);
  }

  #follows(before: Alert, event: AlertEvent): void {
    const { alert, type, atMs } = event;
    if (isStanding(alert) && rank(alert.priority) < rank(before.priority)) {
      keeps(alert.phase === 'unacknowledged', 'acknowledged hides nothing that gets worse', event);
    }
    const mute = alert.shelved ?? alert.outOfService;
    if (mute && isStanding(alert)) {
      keeps(rank(alert.priority) >= rank(mute.priority), 'put away hides nothing worse', event);
    }
    if (type === 'escalated') this.#escalates(before, event);
    const { silenced } = alert;
    keeps(
      !silenced || silenced.untilMs - silenced.atMs <= 5 * MINUTE_MS,
      'silence is short',
      event,
    );
    const isLookedAt = type === 'inspected' || type === 'closed';
    if (alert.phase === 'closed' && before.needsInspection) {
      keeps(isLookedAt, 'what needs a look is closed by whoever looked', event);
    }
    keeps(atMs >= before.raisedAtMs, 'after it was raised', event);
  }

  #escalates(before: Alert, { alert, atMs }: AlertEvent): void {
    keeps(isUrgent(alert) && !isMuted(alert), 'only what is urgent and not put away', alert);
    const { step = 0, nextAtMs = atMs } = before.escalation ?? {};
    keeps(alert.escalation?.step === step + 1, 'step by step', alert);
    keeps(atMs >= nextAtMs, 'no step before its time', [before, alert]);
    keeps((alert.escalation?.nextAtMs ?? 0) - atMs >= 30_000, 'no step on the heels', alert);
  }

  #comes({ alert, atMs }: AlertEvent): void {
    const key = alert.id.replace(/\.\d+$/, '');
    const times = [...(this.#raisedAtMs.get(key) ?? []), atMs].slice(-5);
    this.#raisedAtMs.set(key, times);
    const [first = atMs] = times;
    const isSeldom = times.length < 5 || atMs - first >= 5 * MINUTE_MS;
    // `b` may also come again when its cause or a mode is over.
    keeps(key !== 'a' || isSeldom, 'what comes and goes is held', times);
  }
}
