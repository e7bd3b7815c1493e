/**
 * From JSON to the contract's types. The daemon holds every answer to the contract's schemas; to
 * check them here again would more than double what the page weighs on a boat's thin link.
 */

import { inOwnDegrees } from './format.ts';

/** Its sentences speak in the degrees chosen for this screen. Throws a SyntaxError where the text is no JSON at all. */
// oxlint-disable-next-line typescript/no-unnecessary-type-parameters -- the caller says what it expects
export function fromWire<Carried>(text: string): Carried {
  // oxlint-disable-next-line typescript/no-unsafe-type-assertion -- see above
  return JSON.parse(inOwnDegrees(text)) as Carried;
}
