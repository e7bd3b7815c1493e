/** Which parts stand beside each other and in what order the rows come. Pure. */
import { GRID, grid, leastWidth, niceWidth } from './cells.ts';
import type { WiredPart } from './wiring.ts';

/** Below this a bus with its circuits is too narrow to read. */
const BUS_WIDTH = 276;
/** Narrower than this nothing can be read, so the drawing becomes wider than asked. */
export const LEAST_WIDTH = 168;

export interface Slot {
  part: WiredPart;
  rank: number;
  /** From the left edge of the rows. */
  x: number;
  width: number;
}

function ranksOf(parts: readonly WiredPart[]): Map<string, number> {
  const ranks = new Map<string, number>();
  for (const part of parts) {
    const above = part.inlets.map(({ from }) => (from === null ? -1 : (ranks.get(from) ?? -1)));
    ranks.set(part.id, Math.max(-1, ...above) + 1);
  }
  // Sources and banks stay on top; switches come down as near as may be to what they feed.
  const last = Math.max(0, ...ranks.values());
  for (const part of [...parts].reverse()) {
    if (part.kind !== 'selector' && part.kind !== 'main switch') continue;
    const fed = parts.filter((own) => own.inlets.some(({ from }) => from === part.id));
    const below = fed.map((own) => (ranks.get(own.id) ?? last) - 1);
    ranks.set(part.id, Math.min(last, ...below));
  }
  return ranks;
}

/** Rows of parts that are no buses: as many of one rank beside each other as there is room. */
export function partRows(parts: readonly WiredPart[], width: number): Slot[][] {
  const ranks = ranksOf(parts);
  const most = Math.max(0, ...ranks.values());
  const rows: Slot[][] = [];
  const middles = new Map<string, number>();
  for (let rank = 0; rank <= most; rank++) {
    const own = parts.filter((part) => ranks.get(part.id) === rank);
    const wished = new Map(own.map((part) => [part.id, wishedX(part, middles)]));
    own.sort((a, b) => (wished.get(a.id) ?? 0) - (wished.get(b.id) ?? 0));
    let row: WiredPart[] = [];
    const flush = (): void => {
      if (row.length === 0) return;
      const slots = spread(row, rank, width, wished);
      for (const slot of slots) middles.set(slot.part.id, slot.x);
      rows.push(slots);
      row = [];
    };
    for (const part of own) {
      const needed = [...row, part].reduce((total, one) => total + grid(niceWidth(one)), 0);
      if (row.length > 0 && needed > width) flush();
      row.push(part);
    }
    flush();
  }
  return rows;
}

/** Under the middle of what feeds it. */
function wishedX(part: WiredPart, middles: ReadonlyMap<string, number>): number {
  const above = part.inlets.flatMap(({ from }) => (from === null ? [] : (middles.get(from) ?? [])));
  return above.length === 0 ? 0 : above.reduce((total, x) => total + x, 0) / above.length;
}

/** Gives each part of a row its place: as near to its wish as its neighbours leave it. */
function spread(
  parts: readonly WiredPart[],
  rank: number,
  width: number,
  wished: ReadonlyMap<string, number>,
): Slot[] {
  const widths = parts.map((part) =>
    Math.max(
      Math.min(grid(niceWidth(part)), grid(width - GRID + 1) - GRID),
      grid(leastWidth(part)),
    ),
  );
  const rest = (from: number): number => widths.slice(from).reduce((a, b) => a + b, 0);
  let left = 0;
  return parts.map((part, index) => {
    const last = Math.max(left, Math.floor((width - rest(index)) / GRID) * GRID);
    const wish = grid(wished.get(part.id) ?? 0);
    const isRoot = part.inlets.length === 0;
    const even = Math.floor((width * index) / parts.length / GRID) * GRID;
    const x = Math.min(last, Math.max(left, isRoot ? even : wish));
    const own = widths[index] ?? 0;
    left = x + own;
    return { part, rank, x, width: own };
  });
}

export function busRows(buses: readonly WiredPart[], width: number): Slot[][] {
  const beside = Math.max(1, Math.floor(width / BUS_WIDTH));
  const rows: Slot[][] = [];
  for (let at = 0; at < buses.length; at += beside) {
    const own = buses.slice(at, at + beside);
    const each = Math.max(LEAST_WIDTH, Math.floor(width / own.length / GRID) * GRID);
    rows.push(own.map((part, index) => ({ part, rank: 0, x: index * each, width: each })));
  }
  return rows;
}
