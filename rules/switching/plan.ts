/**
 * The load plan: what can still be switched on, as the page and the API get it. Plain JSON; `null`
 * is "not known". It informs: nothing in it makes a supply safe or a breaker hold.
 */
import type { LegName, PartId } from '../boat/boat.ts';

/**
 * `fits`: with all that runs and all that may come on by itself, no limit is passed.
 * `fits if off`: it does once each of `ifOff` is off and stays off. `does not fit`: not even then.
 * `stays off`: its standing order forbids it. `no voltage`: its bus reads none.
 * `not known`: something that it hangs on is not known; `because` says what.
 */
export type LoadVerdict =
  'fits' | 'fits if off' | 'does not fit' | 'stays off' | 'no voltage' | 'not known';

/**
 * Where the amperes come from. `learned`: from its own runs, and no less than the boat file says.
 * `boat file`. `breaker`: neither is known, so all that its breaker lets through.
 */
export type LoadFrom = 'learned' | 'boat file' | 'breaker';

/** Whether one circuit that does not run, or one appliance of a circuit, can go on now. */
export interface LoadAnswer {
  circuit: PartId;
  /** Name of the appliance; null: the circuit's own load. */
  appliance: string | null;
  /** What a person calls it. */
  label: string;
  legs: LegName[];
  /** Amperes reckoned with, on each of its legs. */
  amps: number;
  from: LoadFrom;
  /** Amperes reckoned with for an instant at its start. */
  startAmps: number;
  /** Source that feeds its bus; null: none or not known. */
  source: PartId | null;
  verdict: LoadVerdict;
  /** Circuits that must be off and stay off. */
  ifOff: PartId[];
  /** Circuits that it requires and that do not run yet; they are reckoned with. */
  first: PartId[];
  /** One whole sentence: the limit that decides, or what is not known. */
  because: string;
}

/** What is left on one leg of a source, for loads of any length. */
export interface LegRoom {
  leg: LegName;
  ampsRated: number;
  /** What it carries now. */
  ampsNow: number | null;
  /** What may come on by itself, besides. */
  ampsReserved: number;
  /** What may still be added; negative when it already carries too much. */
  ampsRoom: number | null;
}

/** A source that feeds something, with what is left of it. */
export interface SourceRoom {
  source: PartId;
  legs: LegRoom[];
  /** Circuits that may come on by themselves and for which room is kept. */
  reservedFor: PartId[];
}

export interface LoadPlan {
  atMs: number;
  /** Sources that are known to feed a bus, in the order of the boat file. */
  rooms: SourceRoom[];
  /** In the order of the boat file; a circuit's appliances take its own place. */
  answers: LoadAnswer[];
}
