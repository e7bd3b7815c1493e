/** The answer to "why is this dead?", as the page and the API get it. Plain JSON. */
import type { PartId } from '../boat/boat.ts';

/**
 * `broken`: the first broken link from the source is known; it is `link`. `own breaker`: the bus
 * reads voltage, so what is left is the circuit's own breaker or fuse, or its load. `reads
 * voltage`: it is not without voltage at all. `not known`: see `suspects`.
 */
export type WhyDeadVerdict = 'broken' | 'own breaker' | 'reads voltage' | 'not known';

export interface WhyDead {
  part: PartId;
  verdict: WhyDeadVerdict;
  /** The first broken link, counted from the source; null where it is not known. */
  link: PartId | null;
  /** Where it is not known: every part that may be the first broken link. */
  suspects: PartId[];
  /** One whole sentence for a person. */
  sentence: string;
  /** What to turn, to reset or to read off; empty where there is nothing to do. */
  doThis: string;
  /** What else bears on it: whole sentences. */
  also: string[];
  /** Cautions for whoever acts on it; they stand wherever `doThis` does. */
  cautions: string[];
}
