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
}

export type AlertPhase =
  /** Condition holds, nobody has acknowledged. */
  | 'unacknowledged'
  /** Condition holds, somebody has acknowledged. */
  | 'acknowledged'
  /** Condition is over, nobody has acknowledged it. */
  | 'returned'
  /** Over and done; only in the record. */
  | 'closed';

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
}

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
    | 'priority changed';
  /** Person, or `panelward`. */
  actor: string;
  /** The alert as it stands after this event. */
  alert: Alert;
}
