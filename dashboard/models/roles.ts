/** What each role is offered. The boat judges again and refuses; here nothing is offered in vain. Pure. */
import type { VisitorAnswer } from '../../daemon/api/contract.ts';
import type { ActName } from './alert-acts.ts';

type Role = VisitorAnswer['role'];

/** Until the boat has said who looks, all is offered: mostly it is her own screen. */
export type Visitor = VisitorAnswer | null;

const isAtLeastCrew = (role: Role): boolean => role === 'crew' || role === 'technician';

/** Whether this visitor sees the boat at all. */
export function mayLook(visitor: Visitor): boolean {
  return visitor === null || visitor.role !== null;
}

/** Whether this visitor acknowledges, silences, shelves, and says mode and positions. */
export function maySay(visitor: Visitor): boolean {
  return visitor === null || isAtLeastCrew(visitor.role);
}

/** Whether this visitor takes out of service, and sees persons and the audit trail. */
export function mayChange(visitor: Visitor): boolean {
  return visitor === null || visitor.role === 'technician';
}

const OF_TECHNICIANS: ReadonlySet<ActName> = new Set(['out-of-service', 'in-service']);

/** Of what can be done about an alert, what this visitor may do. */
export function allowedActs(acts: readonly ActName[], visitor: Visitor): ActName[] {
  if (!maySay(visitor)) return [];
  return acts.filter((act) => mayChange(visitor) || !OF_TECHNICIANS.has(act));
}
