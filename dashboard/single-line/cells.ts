/** One part with its label: how much room it takes, and where its contacts come to lie in it. */
import { LINE_HEIGHT, NAME_SIZE, textWidth, TYPE_SIZE, wrapped } from './lettering.ts';
import type { Box, PlacedLabel, PlacedSymbol, Spot } from './shapes.ts';
import type { WiredCircuit, WiredPart } from './wiring.ts';

/** Everything that a wire can meet lies on this grid, so that wires are equal or well apart. */
export const GRID = 12;
export const grid = (length: number): number => Math.ceil(length / GRID) * GRID;

const SYMBOL = 36;
/** Of the symbol's middle from the left edge of its cell. */
const MIDDLE = 24;
const LABEL_GAP = 6;
/** Of the name of a position from its wire, and from the next one. */
const NAME_GAP = 4;
const NAMES = 2 * LINE_HEIGHT;
export const ROW_HEIGHT = 2 * LINE_HEIGHT + 6;
/** A column of circuits is at least so wide. */
const CIRCUIT_COLUMN = 228;
const BREAKER = 36;
const RISER = 12;

export interface Cell {
  symbols: PlacedSymbol[];
  labels: PlacedLabel[];
  /** Where each inlet goes in, by its place among the inlets; null for what has no feed. */
  entries: (Spot | null)[];
  /** Where the part feeds on; null for a bus, whose circuits are in the cell. */
  exit: Spot | null;
  /** Runs inside the cell. */
  risers: Spot[][];
  height: number;
}

/** Least width of a part's cell. */
export function leastWidth(part: WiredPart): number {
  return part.kind === 'selector' ? MIDDLE + part.inlets.length * 48 : 120;
}

/** The width a part would like to have. */
export function niceWidth(part: WiredPart): number {
  if (part.kind !== 'selector') return 168;
  const words = part.inlets.flatMap(({ name }) => name.split(/\s+/));
  const longest = Math.max(...words.map((word) => textWidth(word, NAME_SIZE)));
  const pitch = Math.min(108, Math.max(48, grid(longest + 2 * NAME_GAP)));
  return MIDDLE + part.inlets.length * pitch;
}

function labelIn(
  of: string,
  full: string,
  box: Box,
  most: number,
  size: number = TYPE_SIZE,
): PlacedLabel {
  const lines = wrapped(full, box.width, most, size);
  const width = Math.min(box.width, Math.max(...lines.map((line) => textWidth(line, size))));
  return { of, full, lines, size, box: { ...box, width, height: lines.length * LINE_HEIGHT } };
}

/** A source, battery or main switch: the symbol, and its label beside it. */
function plainCell(part: WiredPart, x: number, y: number, width: number): Cell {
  const middle = x + MIDDLE;
  const count = part.inlets.length;
  // Several wires come in side by side and are joined just above the symbol.
  const joining = count > 1 ? LABEL_GAP : 0;
  const xOf = (index: number): number => middle + (index - (count > 1 ? 1 : 0)) * GRID;
  const right = Math.max(middle + SYMBOL / 2, xOf(count - 1) + LABEL_GAP);
  const top = y + joining;
  const room = {
    x: right + LABEL_GAP,
    y: y + 2,
    width: Math.max(GRID, x + width - right - 2 * LABEL_GAP),
    height: 0,
  };
  const label = labelIn(part.id, part.label, room, 3);
  const box = {
    x: middle - SYMBOL / 2,
    y: top,
    width: right - middle + SYMBOL / 2,
    height: SYMBOL,
  };
  const outlet: Spot = [middle, top + SYMBOL];
  return {
    symbols: [{ id: part.id, kind: part.kind, box, contacts: [], outlet }],
    labels: [label],
    entries: part.inlets.map((_, index) => [xOf(index), y]),
    exit: outlet,
    risers:
      joining > 0
        ? joined(
            part.inlets.map((_, index) => xOf(index)),
            y,
            top,
          )
        : [],
    height: Math.max(joining + SYMBOL, 2 + label.box.height),
  };
}

const joined = (xs: readonly number[], y: number, top: number): Spot[][] => [
  ...xs.map((x): Spot[] => [
    [x, y],
    [x, top],
  ]),
  [
    [Math.min(...xs), top],
    [Math.max(...xs), top],
  ],
];

/** A selector: each contact under the name of its position, the moving arm's foot below. */
function selectorCell(part: WiredPart, x: number, y: number, width: number): Cell {
  const count = part.inlets.length;
  const pitch = Math.max(GRID, Math.floor((width - MIDDLE) / count / GRID) * GRID);
  const top = y + NAMES + 2;
  const xOf = (index: number): number => x + MIDDLE + index * pitch;
  const contacts = part.inlets.map(({ name }, index) => ({ name, at: [xOf(index), top] as const }));
  const nameRoom = (index: number): number => {
    const end = index === count - 1 ? x + width : xOf(index + 1);
    return Math.max(GRID, end - xOf(index) - 2 * NAME_GAP);
  };
  const names = part.inlets.map(({ name }, index) =>
    labelIn(
      part.id,
      name,
      { x: xOf(index) + NAME_GAP, y, width: nameRoom(index), height: 0 },
      2,
      NAME_SIZE,
    ),
  );
  const middle = xOf(Math.floor((count - 1) / 2));
  const box = {
    x: x + MIDDLE - LABEL_GAP,
    y: top,
    width: (count - 1) * pitch + 2 * LABEL_GAP,
    height: SYMBOL,
  };
  const outlet: Spot = [middle, top + SYMBOL];
  const room = {
    x: middle + LABEL_GAP,
    y: top + SYMBOL + 2,
    width: Math.max(GRID, x + width - middle - 2 * LABEL_GAP),
    height: 0,
  };
  const label = labelIn(part.id, part.label, room, 2);
  return {
    symbols: [{ id: part.id, kind: part.kind, box, contacts, outlet }],
    labels: [...names, label],
    entries: part.inlets.map(({ from }, index) => (from === null ? null : [xOf(index), y])),
    exit: outlet,
    risers: part.inlets.flatMap(({ from }, index) =>
      from === null
        ? []
        : [
            [
              [xOf(index), y],
              [xOf(index), top],
            ] as Spot[],
          ],
    ),
    height: NAMES + 2 + SYMBOL + 2 + label.box.height,
  };
}

/** A bus bar with its label above; below it its circuits in columns, or how many they are. */
export function busCell(
  part: WiredPart,
  x: number,
  y: number,
  width: number,
  circuits: readonly WiredCircuit[],
  folded: string | null,
): Cell {
  const middle = x + MIDDLE;
  const room = { x: middle + LABEL_GAP, y, width: width - MIDDLE - 2 * LABEL_GAP, height: 0 };
  const label = labelIn(part.id, part.label, room, 2);
  const bar: Box = {
    x: x + GRID,
    y: y + label.box.height + 3,
    width: width - 2 * GRID,
    height: 6,
  };
  const foot = bar.y + bar.height;
  const cell: Cell = {
    symbols: [{ id: part.id, kind: 'bus', box: bar, contacts: [], outlet: [middle, foot] }],
    labels: [label],
    entries: part.inlets.map(() => [middle, y]),
    exit: null,
    risers: [
      [
        [middle, y],
        [middle, bar.y],
      ],
    ],
    height: foot - y,
  };
  if (folded !== null) {
    const note = labelIn(part.id, folded, { ...room, y: foot + 6 }, 1);
    return { ...cell, labels: [label, note], height: foot + 6 + LINE_HEIGHT - y };
  }
  addCircuits(cell, bar, circuits);
  return cell;
}

function addCircuits(cell: Cell, bar: Box, circuits: readonly WiredCircuit[]): void {
  const many = Math.max(1, Math.floor(bar.width / CIRCUIT_COLUMN));
  const columns = Math.max(1, Math.min(many, circuits.length));
  const rows = Math.ceil(circuits.length / columns);
  const pitch = Math.floor(bar.width / columns);
  const foot = bar.y + bar.height;
  circuits.forEach((circuit, index) => {
    const riser = bar.x + RISER + Math.floor(index / rows) * pitch;
    const middle = foot + 8 + (index % rows) * ROW_HEIGHT + ROW_HEIGHT / 2;
    const left = riser + RISER;
    const box = { x: left, y: middle - 10, width: BREAKER, height: 20 };
    const isLast = index % rows === rows - 1 || index === circuits.length - 1;
    cell.risers.push([
      [riser, middle],
      [left, middle],
    ]);
    if (isLast) {
      cell.risers.push([
        [riser, foot],
        [riser, middle],
      ]);
    }
    cell.symbols.push({
      id: circuit.id,
      kind: 'breaker',
      box,
      contacts: [],
      outlet: [left + BREAKER, middle],
    });
    const full = circuit.position === null ? circuit.label : `${circuit.position} ${circuit.label}`;
    const room = {
      x: left + BREAKER + LABEL_GAP,
      y: 0,
      width: pitch - 2 * RISER - BREAKER - 2 * LABEL_GAP,
      height: 0,
    };
    const label = labelIn(circuit.id, full, room, 2);
    label.box.y = middle - label.box.height / 2;
    cell.labels.push(label);
  });
  if (rows > 0) cell.height += 8 + rows * ROW_HEIGHT;
}

/** The cell of any part but a bus. */
export const cellOf = (part: WiredPart, x: number, y: number, width: number): Cell =>
  (part.kind === 'selector' ? selectorCell : plainCell)(part, x, y, width);
