/**
 * What a person is told: findings of the rules, and the alerts that live on from them. Plain JSON.
 * Priorities are those of bridge alert management (IMO resolution MSC.302(87)); the life follows
 * alarm-management practice (ISA-18.2 / IEC 62682).
 */
import type { LegName, PartId, PointId } from '../boat/boat.ts';

export type Priority = 'emergency alarm' | 'alarm' | 'warning' | 'caution';

/** Most urgent first. */
export const PRIORITIES: readonly Priority[] = ['emergency alarm', 'alarm', 'warning', 'caution'];

/**
 * What the boat is about, said by a person. `work in progress`: somebody works on her electrics and
 * breakers go on and off; what is told then stays aboard.
 */
export type Mode = 'aboard' | 'away' | 'under way' | 'work in progress';

export const MODES: readonly Mode[] = ['aboard', 'away', 'under way', 'work in progress'];

/** A condition that follows from an alert's own, told inside it. */
export interface Symptom {
  /** Key of its check: rule and subject. */
  key: string;
  title: string;
}

/** A number behind a finding, with the threshold it is held against. */
export interface Evident {
  what: string;
  value: number | null;
  threshold: number | null;
  unit: string;
}

/** What a rule says about one subject while its condition holds. All texts are whole sentences. */
export interface Finding {
  rule: string;
  /** Part it is about, and leg or point where that matters. */
  subject: { part: PartId; leg?: LegName; point?: PointId };
  priority: Priority;
  /** One line: what and where, no codes, no exclamation mark. */
  title: string;
  means: string;
  doThis: string;
  /** Cautions for whoever touches something because of `doThis`; may be empty. */
  cautions: string[];
  evidence: Evident[];
  confidence: 'measured' | 'inferred';
  /** Points whose history shows it best. */
  points: PointId[];
  /**
   * Something may be burnt, bent or wired wrongly: once over and acknowledged it stays `latched`
   * until somebody says that they have looked. Absent: no.
   */
  needsInspection?: true;
}

export type AlertPhase =
  /** Condition holds, nobody has acknowledged. */
  | 'unacknowledged'
  /** Condition holds, somebody has acknowledged. */
  | 'acknowledged'
  /** Condition is over, nobody has acknowledged it. */
  | 'returned'
  /** Condition is over and acknowledged, and nobody has said yet that they have looked at it. */
  | 'latched'
  /** Over and done; only in the record. */
  | 'closed';

/** A person stopped the sound for a moment. It is not acknowledged by that. */
export interface Silenced {
  by: string;
  atMs: number;
  /** Then it sounds again by itself. */
  untilMs: number;
}

/** A person put it away for a time. It is judged and recorded all the while, and told to nobody. */
export interface Shelved {
  by: string;
  atMs: number;
  /** Then it comes back by itself. */
  untilMs: number;
  reason?: string;
  /** The priority that the person knew of; whatever is worse ends the shelving. */
  priority: Priority;
  /** `shelving ends soon` has been recorded. */
  isWarned: boolean;
}

/** Taken out of service for maintenance: as shelved, but without an end. */
export interface OutOfService {
  by: string;
  atMs: number;
  reason: string;
  /** `review due` is recorded then and once a day from then on. */
  reviewAtMs: number;
  /** The next `review due`. */
  nextReviewAtMs: number;
  priority: Priority;
}

/** How often it was told again because nobody acknowledges. */
export interface Escalation {
  /** 0: raised; 1: sound again; 2: second person; 3: everybody; above: everybody again. */
  step: number;
  nextAtMs: number;
}

/** It came and went so often that it is kept raised until it has been quiet for a while. */
export interface Chattering {
  sinceMs: number;
  /** How often it came, those before included. */
  times: number;
  /** Since when the condition has been over; null while it holds. */
  quietSinceMs: number | null;
}

/**
 * Why an alert ended whose condition was not simply over. `lost in a restart`: it was taken up from
 * the record, and nothing has confirmed it since; it comes as a new one if it still stands.
 */
export interface Ended {
  why: 'told with its cause' | 'not told in this mode' | 'no longer watched' | 'lost in a restart';
  /** Id of the alert that tells it. */
  cause?: string;
}

export interface Alert extends Finding {
  /** Unique for ever on one boat: rule, subject and the number of its first event, e.g. `overload.house-bus.17`. */
  id: string;
  phase: AlertPhase;
  /** When the condition began, which is before the alert was raised by the on-delay. */
  sinceMs: number;
  raisedAtMs: number;
  acknowledgedAtMs: number | null;
  acknowledgedBy: string | null;
  returnedAtMs: number | null;
  /** The sensor behind it is silent: the alert is held, not confirmed. */
  isHeld: boolean;
  /** What has followed from it so far. */
  symptoms: Symptom[];
  /** Mode in which it was raised. */
  mode: Mode;
  /** All that follows is absent where it is not so. `shelved` and `outOfService` exclude each other. */
  silenced?: Silenced;
  shelved?: Shelved;
  outOfService?: OutOfService;
  escalation?: Escalation;
  /** Acknowledged, it becomes unacknowledged again then, if it stands so long. */
  reAlarmAtMs?: number;
  chattering?: Chattering;
  /** Id of the notice of many alerts at once in which it is told; not told by itself. */
  inFlood?: string;
  ended?: Ended;
}

/** What a person can do about an open alert. */
export type Act =
  | { type: 'acknowledge' }
  | { type: 'silence' }
  | { type: 'shelve'; untilMs: number; reason?: string }
  | { type: 'unshelve' }
  | { type: 'take out of service'; reason: string; reviewAtMs: number }
  | { type: 'put back in service' }
  /** Says that somebody has looked at what the alert was about. */
  | { type: 'inspect' };

export interface AlertEvent {
  /** Counts up by one over the life of the boat's record, without gaps. */
  seq: number;
  atMs: number;
  alertId: string;
  type:
    | 'raised'
    | 'acknowledged'
    | 'returned'
    | 'closed'
    | 'folded'
    | 'held'
    | 'resumed'
    | 'priority changed'
    | 'silenced'
    | 'silence over'
    | 'shelved'
    | 'shelving ends soon'
    /** By a person, or by panelward when the time is over. */
    | 'unshelved'
    | 'out of service'
    | 'review due'
    | 'back in service'
    /** Nobody acknowledges; how far it has come is `alert.escalation.step`. */
    | 'escalated'
    /** Acknowledged long ago and still there: to be acknowledged again. */
    | 're-alarmed'
    /** It comes and goes: kept raised from here on. */
    | 'chattering'
    /** What follows from it has come to hold, and is told inside it: the last of `alert.symptoms`. */
    | 'symptom joined'
    | 'inspected'
    /** The watch had lost what it knew of it: it goes on from the record, not confirmed. */
    | 'taken up';
  /** Person, or `panelward`. */
  actor: string;
  /** The alert as it stands after this event. */
  alert: Alert;
}
