/**
 * Where every selector, main switch and breaker of the boat really stands. A selector breaks before
 * it makes: while it is being turned it connects nothing.
 */
import type { Boat, PartId } from '../../rules/index.ts';

/** Where a main switch or a circuit's breaker stands. */
export type Contact = 'closed' | 'open' | 'tripped';

export interface StartingPositions {
  /** Position name of each selector. */
  selectors: Readonly<Record<PartId, string>>;
  /** Main switches and breakers that are open; all others are closed. */
  open: readonly PartId[];
}

/** How long a hand takes to turn a selector. */
const TURNING_SECONDS = 1.2;

interface Turning {
  to: string;
  secondsLeft: number;
}

export class Switches {
  /** Counts up with every change, so that others know when to look again. */
  changes = 0;
  readonly #boat: Boat;
  readonly #selectors = new Map<PartId, string>();
  readonly #turning = new Map<PartId, Turning>();
  readonly #contacts = new Map<PartId, Contact>();

  constructor(boat: Boat, start: StartingPositions) {
    this.#boat = boat;
    for (const selector of boat.selectors) {
      const position = start.selectors[selector.id];
      if (position === undefined) throw new Error(`no starting position for ${selector.id}`);
      this.#checkPosition(selector.id, position);
      this.#selectors.set(selector.id, position);
    }
    for (const part of [...boat.mainSwitches, ...boat.circuits]) {
      this.#contacts.set(part.id, start.open.includes(part.id) ? 'open' : 'closed');
    }
    const stray = start.open.find((id) => !this.#contacts.has(id));
    if (stray !== undefined) throw new Error(`no main switch or circuit: ${stray}`);
  }

  /** Position name, or null between two positions. */
  positionOf(selector: PartId): string | null {
    return this.#turning.has(selector) ? null : (this.#selectors.get(selector) ?? null);
  }

  contactOf(part: PartId): Contact {
    const contact = this.#contacts.get(part);
    if (contact === undefined) throw new Error(`no main switch or circuit: ${part}`);
    return contact;
  }

  get isTurning(): boolean {
    return this.#turning.size > 0;
  }

  turn(selector: PartId, to: string): void {
    this.#checkPosition(selector, to);
    this.#turning.set(selector, { to, secondsLeft: TURNING_SECONDS });
    this.changes += 1;
  }

  /** As `turn`, but already done. */
  place(selector: PartId, to: string): void {
    this.#checkPosition(selector, to);
    this.#selectors.set(selector, to);
    this.#turning.delete(selector);
    this.changes += 1;
  }

  move(part: PartId, to: Contact): void {
    if (this.contactOf(part) === to) return;
    this.#contacts.set(part, to);
    this.changes += 1;
  }

  advance(seconds: number): void {
    for (const [id, turning] of this.#turning) {
      turning.secondsLeft -= seconds;
      if (turning.secondsLeft <= 0) this.place(id, turning.to);
    }
  }

  /**
   * The way from a bus up to what feeds it: `top` is a source or battery, or null where the way
   * ends at an open contact; `through` are the closed selectors and switches, topmost first.
   */
  wayTo(bus: PartId): { top: PartId | null; through: PartId[] } {
    const through: PartId[] = [];
    let at: PartId | null = bus;
    while (at !== null) {
      const part = this.#boat.parts.get(at);
      if (part === undefined) throw new Error(`no part: ${at}`);
      if (part.part === 'source' || part.part === 'battery') return { top: part.id, through };
      if (part.part === 'bus') at = part.from;
      else if (part.part === 'circuit') at = part.bus;
      else {
        through.unshift(part.id);
        if (part.part === 'main switch') at = this.contactOf(at) === 'closed' ? part.from : null;
        else at = part.positions.get(this.positionOf(at) ?? '') ?? null;
      }
    }
    return { top: null, through: [] };
  }

  #checkPosition(selector: PartId, position: string): void {
    const part = this.#boat.parts.get(selector);
    if (part?.part !== 'selector') throw new Error(`no selector: ${selector}`);
    if (!part.positions.has(position)) throw new Error(`${selector} has no position ${position}`);
  }
}
