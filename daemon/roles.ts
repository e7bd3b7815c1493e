/** Who may do what, in three steps; each may all that those before it may. */

export const ROLES = ['guest', 'crew', 'technician'] as const;

/**
 * `guest` looks; `crew` acknowledges, silences, shelves, says mode and positions; `technician`
 * changes: takes out of service, keeps the list of persons, ends sessions, tests ways out.
 */
export type Role = (typeof ROLES)[number];

/** Whether `role` is `least` or more; nobody (null) never is. */
export function isAtLeast(role: Role | null, least: Role): boolean {
  return role !== null && ROLES.indexOf(role) >= ROLES.indexOf(least);
}

/** The one of the two that may more. */
export function higherOf(one: Role | null, other: Role | null): Role | null {
  if (one === null || other === null) return one ?? other;
  return isAtLeast(one, other) ? one : other;
}
