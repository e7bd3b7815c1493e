/**
 * Lays out the single-line diagram of any boat: sources on top, then selectors, main switches and
 * buses, each row below all that can feed it. Between two rows is a channel in which every outlet
 * has a track of its own; what is fed farther down goes by a lane at the left, past all symbols.
 * So no wire can meet a symbol or a label, and wires of two outlets only ever cross.
 */
import { busCell, cellOf, GRID, grid } from './cells.ts';
import type { Cell } from './cells.ts';
import { lastRow, netsOf } from './lanes.ts';
import type { Lane, Lanes, Net } from './lanes.ts';
import { busRows, LEAST_WIDTH, partRows } from './rows.ts';
import type { Slot } from './rows.ts';
import type { Layout, PlacedWire, Spot } from './shapes.ts';
import { inTracks } from './tracks.ts';
import type { Strand } from './tracks.ts';
import type { Wiring } from './wiring.ts';

export interface LayoutOptions {
  /** Width there is. A layout may need more where a boat's own parts leave no other way. */
  width: number;
  /** The words in place of a bus's circuits where it is folded, or null where it is open. */
  folded?: (bus: string, circuits: number) => string | null;
}

const MARGIN = 12;
const LANE = 8;
const TRACK = 12;

interface Row {
  slots: Slot[];
  cells: Cell[];
  /** Top of its cells. */
  y: number;
  height: number;
  /** Ports stand half a grid aside of those of the row above. */
  isShifted: boolean;
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
    // Ports of both rows on one grid give straight wires. Where that would ask two tracks to lie
    // above each other, this row steps aside by half a grid, and no two ports meet any more.
    let row = this.#place(slots, 0, false);
    let tracks = inTracks(this.#strands(row, index));
    if (tracks === null) {
      row = this.#place(slots, 0, this.#before?.isShifted !== true);
      tracks = inTracks(this.#strands(row, index)) ?? [];
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
    const cells = slots.map(({ part, x, width }) => {
      const left = this.#left + x + shift;
      const own = width - shift;
      if (part.kind !== 'bus') return cellOf(part, left, y, own);
      const circuits = this.#wiring.circuits.filter(({ bus }) => bus === part.id);
      const folded = this.#options.folded?.(part.id, circuits.length) ?? null;
      return busCell(part, left, y, own, circuits, folded);
    });
    const height = Math.max(0, ...cells.map((cell) => cell.height));
    return { slots: [...slots], cells, y, height, isShifted };
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
