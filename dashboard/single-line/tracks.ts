/** The channel between two rows: what meets there, and in what order the tracks must lie. Pure. */
import type { Spot } from './shapes.ts';

/** What meets in the channel above a row, outlet by outlet. */
export interface Strand {
  id: string;
  tops: Spot[];
  bottoms: { to: string; at: Spot }[];
  /** X of the lane, if it comes by one or leaves by one here. */
  laneX: number | null;
  comes: boolean;
  leaves: boolean;
}

const isStraight = ({ tops, bottoms, laneX }: Strand): boolean =>
  laneX === null && tops.length === 1 && bottoms.length === 1 && tops[0]?.[0] === bottoms[0]?.at[0];

/** Strands in the order of their tracks, upper first; null where each wants to be above another. */
export function inTracks(strands: readonly Strand[]): Strand[] | null {
  const left = strands.filter((own) => !isStraight(own));
  const ordered: Strand[] = [];
  const isBelow = (own: Strand, other: Strand): boolean =>
    own !== other && own.bottoms.some(({ at }) => other.tops.some((top) => top[0] === at[0]));
  while (left.length > 0) {
    const index = left.findIndex((own) => left.every((other) => !isBelow(own, other)));
    if (index < 0) return null;
    ordered.push(...left.splice(index, 1));
  }
  return ordered;
}
