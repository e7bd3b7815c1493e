/** The ships that this simulator knows. */
import { sablePlover } from './sable-plover.ts';
import type { Ship } from './ship.ts';
import { willowDipper } from './willow-dipper.ts';

export const SHIPS: readonly Ship[] = [sablePlover, willowDipper];

/** The ship for a boat file, by the boat's name; undefined where there are no physics for her. */
export function shipOf(boatName: string): Ship | undefined {
  return SHIPS.find((ship) => ship.boatName === boatName);
}
