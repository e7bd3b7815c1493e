/** What a layout is made of. Units are those of the drawing; y grows downwards. */
import type { PartKind } from './wiring.ts';

export interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}

export type Spot = readonly [x: number, y: number];

/** A contact of a selector, in the order of the panel. */
export interface PlacedContact {
  name: string;
  at: Spot;
}

export interface PlacedSymbol {
  id: string;
  kind: PartKind | 'breaker';
  box: Box;
  /** Where what feeds it comes in; a selector has its contacts instead. */
  contacts: PlacedContact[];
  /** Where what it feeds goes out. */
  outlet: Spot;
}

export interface PlacedLabel {
  of: string;
  lines: string[];
  /** The whole text, for when the lines are shortened. */
  full: string;
  /** Type size of its lines. */
  size: number;
  box: Box;
}

/** One run of a wire, bent at right angles only. */
export interface PlacedWire {
  /** The part whose outlet it carries on. */
  from: string;
  /** The part it leads to; the same as `from` along a bus. */
  to: string;
  points: Spot[];
}

export interface Layout {
  width: number;
  height: number;
  symbols: PlacedSymbol[];
  labels: PlacedLabel[];
  wires: PlacedWire[];
  /** Where wires of one outlet meet: drawn as a dot, and a crossing without one does not connect. */
  joints: { of: string; at: Spot }[];
}
