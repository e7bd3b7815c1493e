/** How what is fed farther down gets there: by lanes beside the rows. Pure. */
import type { Slot } from './rows.ts';

/** Where the rows are wider than this, what stands at the right goes down at the right. */
const TWO_SIDED = 600;

/** Row in which each outlet begins, and all rows in which it is wanted. */
export interface Net {
  id: string;
  born: number;
  wanted: number[];
  /** Its lane, counted from the rows outwards; null where it ends in the channel below its part. */
  lane: Lane | null;
}

export interface Lane {
  side: 'left' | 'right';
  number: number;
}

/** How many lanes there are at each side. */
export interface Lanes {
  left: number;
  right: number;
}

export function netsOf(rows: readonly Slot[][], width: number): Map<string, Net> {
  const nets = new Map<string, Net>();
  rows.forEach((slots, row) => {
    for (const { part } of slots)
      nets.set(part.id, { id: part.id, born: row, wanted: [], lane: null });
  });
  rows.forEach((slots, row) => {
    for (const { part } of slots) {
      for (const { from } of part.inlets) {
        const net = from === null ? undefined : nets.get(from);
        if (net && !net.wanted.includes(row)) net.wanted.push(row);
      }
    }
  });
  const middles = new Map(rows.flat().map(({ part, x }) => [part.id, x]));
  const isRight = (id: string): boolean => width >= TWO_SIDED && (middles.get(id) ?? 0) > width / 2;
  giveLanes([...nets.values()], (id) => (isRight(id) ? 'right' : 'left'));
  return nets;
}

export const lastRow = (net: Net): number => Math.max(net.born, ...net.wanted);

/** The free lane nearest to the rows; a lane is free again in the channel after its last. */
function giveLanes(nets: readonly Net[], sideOf: (id: string) => Lane['side']): void {
  const taken = { left: [] as number[], right: [] as number[] };
  for (const net of nets) {
    if (lastRow(net) <= net.born + 1) continue;
    const side = sideOf(net.id);
    const until = taken[side];
    const found = until.findIndex((last) => last <= net.born);
    const number = found < 0 ? until.length : found;
    net.lane = { side, number };
    until[number] = lastRow(net);
  }
}
