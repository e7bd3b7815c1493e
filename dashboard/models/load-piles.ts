/** The load plan as a person reads it: three piles and a rest. Pure. */
import type { LoadAnswer, LoadPlan, LoadVerdict } from '../../daemon/api/contract.ts';

export type Pile = 'fits' | 'fits if off' | 'does not fit' | 'other';
export const PILES: readonly Pile[] = ['fits', 'fits if off', 'does not fit', 'other'];

function pileOf(verdict: LoadVerdict): Pile {
  return verdict === 'fits' || verdict === 'fits if off' || verdict === 'does not fit'
    ? verdict
    : 'other';
}

/**
 * What people switch on themselves stands first. A circuit for which room is kept anyway, because it
 * may come on by itself, is no news when it fits.
 */
export function pilesOf(plan: LoadPlan): ReadonlyMap<Pile, LoadAnswer[]> {
  const kept = new Set(plan.rooms.flatMap(({ reservedFor }) => reservedFor));
  const piles = new Map<Pile, LoadAnswer[]>(PILES.map((pile) => [pile, []]));
  const isKept = ({ appliance, circuit, verdict }: LoadAnswer): boolean =>
    verdict === 'fits' && appliance === null && kept.has(circuit);
  const shown = plan.answers.filter((answer) => !isKept(answer));
  const appliancesFirst = [
    ...shown.filter(({ appliance }) => appliance !== null),
    ...shown.filter(({ appliance }) => appliance === null),
  ];
  for (const answer of appliancesFirst) piles.get(pileOf(answer.verdict))?.push(answer);
  return piles;
}
