/** The rules of circuits and their breakers, in the order of the catalogue: causes first. */
import { betterChoice } from './better-choice.ts';
import type { CatalogueRule } from './catalogue-rule.ts';
import { plain } from './catalogue-rule.ts';
import { dutyDrift } from './duty-drift.ts';
import { excludedPair } from './excluded-pair.ts';
import { leftOn } from './left-on.ts';
import { longRun } from './long-run.ts';
import { missingPrerequisite } from './missing-prerequisite.ts';
import { neverStops } from './never-stops.ts';
import { overload } from './overload.ts';
import { sharedTrips } from './shared-trips.ts';
import { shortCycling } from './short-cycling.ts';
import { standingOrder } from './standing-order.ts';
import { weakPrerequisite } from './weak-prerequisite.ts';

export const CIRCUIT_RULES: readonly CatalogueRule[] = [
  overload,
  plain('missing-prerequisite', missingPrerequisite),
  weakPrerequisite,
  plain('shared-trips', sharedTrips),
  plain('short-cycling', shortCycling),
  plain('excluded-pair', excludedPair),
  plain('standing-order', standingOrder),
  plain('better-choice', betterChoice),
  plain('never-stops', neverStops),
  plain('duty-drift', dutyDrift),
  plain('long-run', longRun),
  plain('left-on', leftOn),
];
