/** Everything that the state of a part is made from, as of one instant. */
import type { Boat, PartId } from '../boat/boat.ts';
import type { Conclusion, Conclusions } from './conclusions.ts';
import type { Facts } from './facts.ts';
import type { Hanging } from './hanging.ts';
import type { Latest } from './latest.ts';
import type { Evidence } from './panel-state.ts';
import type { Footing } from './part-conclusions.ts';
import type { Past } from './past.ts';
import type { Supply } from './supply.ts';

export interface Instant {
  boat: Boat;
  supply: Supply;
  latest: Latest;
  hanging: Hanging;
  past: Past;
  facts: Facts;
  conclusions: Conclusions;
  nowMs: number;
}

/** Number of a part in the supply graph; -1 for a part that is not in it. */
export const numberOf = ({ supply }: Pick<Instant, 'supply'>, id: PartId): number =>
  supply.numberOf.get(id) ?? -1;

/** What is concluded about a part of the supply graph. */
export const conclusionOf = (
  { supply, conclusions }: Pick<Instant, 'supply' | 'conclusions'>,
  id: PartId,
): Conclusion | undefined => conclusions.parts[supply.numberOf.get(id) ?? -1];

/** A memory is what readings told before. */
export const evidenceOf = (footing: Footing | undefined): Evidence =>
  footing === 'statement' ? 'stated' : 'inferred';
