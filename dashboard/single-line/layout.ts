/**
 * Lays out the single-line diagram of any boat: sources on top, then selectors, main switches and
 * buses, each row below all that can feed it. Between two rows is a channel in which every outlet
 * has a track of its own; what is fed farther down goes by a lane at the left, past all symbols.
 * So no wire can meet a symbol or a label, and wires of two outlets only ever cross.
 */
import { busCell, cellOf, GRID, grid, leastWidth, niceWidth } from './cells.ts';
import type { Cell } from './cells.ts';
import type { Layout, PlacedWire, Spot } from './shapes.ts';
import type { WiredPart, Wiring } from './wiring.ts';

export interface LayoutOptions {
  /** Width there is. A layout may need more where a boat's own parts leave no other way. */
  width: number;
  /** The words in place of a bus's circuits where it is folded, or null where it is open. */
  folded?: (bus: string, circuits: number) => string | null;
}

/** Below this a bus with its circuits is too narrow to read. */
const BUS_WIDTH = 276;
/** Narrower than this nothing can be read, so the drawing becomes wider than asked. */
const LEAST_WIDTH = 168;
const MARGIN = 12;
const LANE = 8;
/** Where the rows are wider than this, what stands at the right goes down at the right. */
const TWO_SIDED = 600;
const TRACK = 12;

interface Slot {
  part: WiredPart;
  rank: number;
  /** From the left edge of the rows. */
  x: number;
  width: number;
}

interface Row {
  slots: Slot[];
  isBuses: boolean;
  cells: Cell[];
  /** Top of its cells. */
  y: number;
  height: number;
  /** Ports stand half a grid aside of those of the row above. */
  isShifted: boolean;
}

function ranksOf(parts: readonly WiredPart[]): Map<string, number> {
  const ranks = new Map<string, number>();
  for (const part of parts) {
    const above = part.inlets.map(({ from }) => (from === null ? -1 : (ranks.get(from) ?? -1)));
    ranks.set(part.id, Math.max(-1, ...above) + 1);
  }
  // Sources stay on top; everything else comes down as near as may be to what it feeds.
  const last = Math.max(0, ...ranks.values());
  for (const part of [...parts].reverse()) {
    if (part.inlets.length === 0) continue;
    const fed = parts.filter((own) => own.inlets.some(({ from }) => from === part.id));
    const below = fed.map((own) => (ranks.get(own.id) ?? last) - 1);
    ranks.set(part.id, Math.min(last, ...below));
  }
  return ranks;
}

/** Rows of parts that are no buses: as many of one rank beside each other as there is room. */
function partRows(parts: readonly WiredPart[], width: number): Slot[][] {
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

function busRows(buses: readonly WiredPart[], width: number): Slot[][] {
  const beside = Math.max(1, Math.floor(width / BUS_WIDTH));
  const rows: Slot[][] = [];
  for (let at = 0; at < buses.length; at += beside) {
    const own = buses.slice(at, at + beside);
    const each = Math.max(LEAST_WIDTH, Math.floor(width / own.length / GRID) * GRID);
    rows.push(own.map((part, index) => ({ part, rank: 0, x: index * each, width: each })));
  }
  return rows;
}

/** Row in which each outlet begins, and all rows in which it is wanted. */
interface Net {
  id: string;
  born: number;
  wanted: number[];
  /** Its lane, counted from the rows outwards; null where it ends in the channel below its part. */
  lane: Lane | null;
}

interface Lane {
  side: 'left' | 'right';
  number: number;
}

/** How many lanes there are at each side. */
interface Lanes {
  left: number;
  right: number;
}

function netsOf(rows: readonly Slot[][], width: number): Map<string, Net> {
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
  const middles = new Map(rows.flat().map(({ part, x }) => [part.id, x + MARGIN]));
  const isRight = (id: string): boolean => width >= TWO_SIDED && (middles.get(id) ?? 0) > width / 2;
  giveLanes([...nets.values()], (id) => (isRight(id) ? 'right' : 'left'));
  return nets;
}

const lastRow = (net: Net): number => Math.max(net.born, ...net.wanted);

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

/** What meets in the channel above a row, outlet by outlet. */
interface Strand {
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
function inTracks(strands: readonly Strand[]): Strand[] | null {
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

class Drafting {
  readonly layout: Layout;
  readonly #wiring: Wiring;
  readonly #options: LayoutOptions;
  readonly #rows: readonly Slot[][];
  readonly #nets: Map<string, Net>;
  readonly #lanes: Lanes;
  /** Width of the rows between the lanes. */
  readonly #width: number;
  readonly #left: number;
  /** Where each lane last was met, by outlet. */
  readonly #laneFrom = new Map<string, number>();
  #y = MARGIN;
  #before: Row | null = null;

  constructor(wiring: Wiring, options: LayoutOptions, lanes: Lanes) {
    this.#wiring = wiring;
    this.#options = options;
    this.#lanes = lanes;
    this.#left = MARGIN + grid(lanes.left * LANE);
    const width = Math.max(
      LEAST_WIDTH,
      options.width - this.#left - grid(lanes.right * LANE) - MARGIN,
    );
    this.#width = width;
    const buses = wiring.parts.filter(({ kind }) => kind === 'bus');
    const others = wiring.parts.filter(({ kind }) => kind !== 'bus');
    this.#rows = [...partRows(others, width), ...busRows(buses, width)];
    this.#nets = netsOf(this.#rows, width);
    this.layout = {
      width: options.width,
      height: 0,
      symbols: [],
      labels: [],
      wires: [],
      joints: [],
    };
  }

  /** Lanes that it takes; the rows stand right of them. */
  get lanesNeeded(): Lanes {
    const most = (side: Lane['side']): number =>
      Math.max(
        0,
        ...[...this.#nets.values()].map(({ lane }) => (lane?.side === side ? lane.number + 1 : 0)),
      );
    return { left: most('left'), right: most('right') };
  }

  draw(): Layout {
    this.#rows.forEach((slots, index) => this.#drawRow(slots, index));
    const boxes = [...this.layout.symbols, ...this.layout.labels].map(({ box }) => box);
    const right = Math.max(0, ...boxes.map((box) => box.x + box.width)) + MARGIN;
    this.layout.width = Math.max(this.#options.width, right);
    this.layout.height = this.#y + MARGIN;
    return this.layout;
  }

  #drawRow(slots: readonly Slot[], index: number): void {
    const wanted = this.#place(slots, 0, false);
    let strands = this.#strands(wanted, index);
    let tracks = inTracks(strands);
    let row = wanted;
    if (tracks === null) {
      row = this.#place(slots, 0, this.#before?.isShifted !== true);
      strands = this.#strands(row, index);
      tracks = inTracks(strands) ?? strands.filter((own) => !isStraight(own));
    }
    const channel = index === 0 ? 0 : Math.max(2, tracks.length + 1) * TRACK;
    const top = this.#y;
    row = this.#place(slots, top + channel, row.isShifted);
    this.#wire(
      this.#strands(row, index),
      tracks.map(({ id }) => id),
      top,
      index,
    );
    for (const cell of row.cells) {
      this.layout.symbols.push(...cell.symbols);
      this.layout.labels.push(...cell.labels);
    }
    slots.forEach(({ part }, at) => {
      for (const points of row.cells[at]?.risers ?? []) {
        // Above a contact or a bar it is still the feeder's wire, below a bar the bus's own.
        const isAbove = points[0]?.[1] === row.y;
        const entry =
          row.cells[at]?.entries.findIndex((spot) => spot?.[0] === points[0]?.[0]) ?? -1;
        const from = isAbove ? (part.inlets[entry]?.from ?? part.id) : part.id;
        this.layout.wires.push({ from, to: part.id, points });
      }
    });
    this.#before = row;
    this.#y = row.y + row.height;
  }

  #place(slots: readonly Slot[], y: number, isShifted: boolean): Row {
    const shift = isShifted ? GRID / 2 : 0;
    const isBuses = slots.some(({ part }) => part.kind === 'bus');
    const cells = slots.map(({ part, x, width }) => {
      const left = this.#left + x + shift;
      const own = width - shift;
      if (part.kind !== 'bus') return cellOf(part, left, y, own);
      const circuits = this.#wiring.circuits.filter(({ bus }) => bus === part.id);
      const folded = this.#options.folded?.(part.id, circuits.length) ?? null;
      return busCell(part, left, y, own, circuits, folded);
    });
    const height = Math.max(0, ...cells.map((cell) => cell.height));
    // What leaves a row leaves it at its foot, whatever the height of its own cell.
    return { slots: [...slots], isBuses, cells, y, height, isShifted };
  }

  #laneX({ side, number }: Lane): number {
    return side === 'left'
      ? MARGIN + (this.#lanes.left - 1 - number) * LANE
      : this.#left + this.#width + LANE + number * LANE;
  }

  #strands(row: Row, index: number): Strand[] {
    const strands: Strand[] = [];
    for (const net of this.#nets.values()) {
      const isBorn = net.born === index - 1;
      const comes = net.lane !== null && net.born < index - 1 && net.wanted.includes(index);
      const leaves = isBorn && net.lane !== null;
      if (!isBorn && !comes) continue;
      const bottoms = row.slots.flatMap(({ part }, at) =>
        part.inlets.flatMap(({ from }, inlet) => {
          const spot = row.cells[at]?.entries[inlet];
          return from === net.id && spot ? [{ to: part.id, at: spot }] : [];
        }),
      );
      if (bottoms.length === 0 && !leaves) continue;
      const laneX = net.lane !== null && (comes || leaves) ? this.#laneX(net.lane) : null;
      strands.push({ id: net.id, tops: this.#tops(net, isBorn), bottoms, laneX, comes, leaves });
    }
    return strands;
  }

  #tops(net: Net, isBorn: boolean): Spot[] {
    const at = this.#before?.slots.findIndex(({ part }) => part.id === net.id) ?? -1;
    const exit = this.#before?.cells[at]?.exit;
    return isBorn && exit ? [exit] : [];
  }

  #wire(strands: readonly Strand[], tracks: readonly string[], top: number, index: number): void {
    for (const strand of strands) {
      const track = tracks.indexOf(strand.id);
      if (track < 0) this.#wireStraight(strand);
      else this.#wireByTrack(strand, top + (track + 1) * TRACK, index);
    }
  }

  #wireStraight({ id, tops, bottoms }: Strand): void {
    const [from] = tops;
    const [bottom] = bottoms;
    if (from && bottom) this.#run(id, bottom.to, [from, bottom.at]);
  }

  #wireByTrack(strand: Strand, y: number, index: number): void {
    const { id, tops, bottoms, laneX, comes, leaves } = strand;
    const from: Spot | null = tops[0] ?? null;
    const origin: Spot | null =
      from ?? (laneX === null ? null : [laneX, this.#laneFrom.get(id) ?? y]);
    if (!origin) return;
    const xs = [origin[0], ...bottoms.map(({ at }) => at[0]), ...(laneX === null ? [] : [laneX])];
    this.#run(id, id, [origin, [origin[0], y]]);
    this.#run(id, id, [
      [Math.min(...xs), y],
      [Math.max(...xs), y],
    ]);
    for (const { to, at } of bottoms) this.#run(id, to, [[at[0], y], at]);
    if (leaves || comes) this.#laneFrom.set(id, y);
    const goesOn = leaves || (comes && this.#isWantedBelow(id, index));
    this.#joints(id, xs, y, {
      up: origin[0],
      down: [...bottoms.map(({ at }) => at[0]), ...(goesOn && laneX !== null ? [laneX] : [])],
    });
  }

  #isWantedBelow(id: string, index: number): boolean {
    const net = this.#nets.get(id);
    return net !== undefined && lastRow(net) > index;
  }

  /** A dot wherever three or more runs meet on a track. */
  #joints(
    id: string,
    xs: readonly number[],
    y: number,
    ends: { up: number; down: readonly number[] },
  ): void {
    const least = Math.min(...xs);
    const most = Math.max(...xs);
    for (const x of new Set(xs)) {
      const arms =
        (x > least ? 1 : 0) +
        (x < most ? 1 : 0) +
        (ends.up === x ? 1 : 0) +
        (ends.down.includes(x) ? 1 : 0);
      if (arms > 2) this.layout.joints.push({ of: id, at: [x, y] });
    }
  }

  #run(from: string, to: string, points: Spot[]): void {
    const [first, last] = [points[0], points.at(-1)];
    if (first && last && (first[0] !== last[0] || first[1] !== last[1])) {
      const wire: PlacedWire = { from, to, points };
      this.layout.wires.push(wire);
    }
  }
}

/** Places everything; the lanes it turns out to need decide how much is left for the rows. */
export function layOut(wiring: Wiring, options: LayoutOptions): Layout {
  let lanes: Lanes = { left: 0, right: 0 };
  for (;;) {
    const draft = new Drafting(wiring, options, lanes);
    const { left, right } = draft.lanesNeeded;
    if (left <= lanes.left && right <= lanes.right) return draft.draw();
    lanes = { left: Math.max(left, lanes.left), right: Math.max(right, lanes.right) };
  }
}
