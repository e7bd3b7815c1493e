/** Which circuits, switched off first, make room: one, else two, in the boat's own order. */
import type { Circuit, PartId } from '../boat/boat.ts';
import { byId } from '../panel/lookup.ts';
import type { Bottleneck } from './bottlenecks.ts';
import { isAtWork } from './expected-load.ts';
import { requiredOf } from './preconditions.ts';
import { fails, passes, weigh } from './weighing.ts';
import type { Added, Planning } from './weighing.ts';

/** More than this is no quick decision any more. */
const MOST_CHOICES = 8;

export interface Outcome {
  off: ReadonlySet<PartId>;
  isEnough: boolean;
}

/**
 * `excluded` must be off in any case. Only circuits with a place in the shedding order are
 * suggested besides, and none that another one needs.
 */
export function whatMustBeOff(
  planning: Planning,
  bottlenecks: readonly Bottleneck[],
  added: readonly Added[],
  excluded: readonly PartId[],
): Outcome {
  const isEnough = (off: ReadonlySet<PartId>): boolean =>
    bottlenecks.every((one) => passes(weigh(planning, one, { added, off })));
  const plain = new Set(excluded);
  if (isEnough(plain)) return { off: plain, isEnough: true };
  const full = bottlenecks.filter((one) => fails(weigh(planning, one, { added, off: plain })));
  const choices = sheddable(planning, full, added, plain).slice(0, MOST_CHOICES);
  for (const one of choices) {
    const off = new Set([...plain, one.id]);
    if (isEnough(off)) return { off, isEnough: true };
  }
  for (const [at, one] of choices.entries()) {
    for (const other of choices.slice(at + 1)) {
      const off = new Set([...plain, one.id, other.id]);
      if (isEnough(off)) return { off, isEnough: true };
    }
  }
  return { off: plain, isEnough: false };
}

function sheddable(
  { boat, panel, reserves }: Planning,
  full: readonly Bottleneck[],
  added: readonly Added[],
  off: ReadonlySet<PartId>,
): Circuit[] {
  const comesOn = new Set(added.map(({ circuit }) => circuit.id));
  const needed = new Set(
    [...boat.circuits]
      .filter(({ id }) => comesOn.has(id) || isAtWorkNow(panel.circuits, id))
      .flatMap((circuit) => requiredOf(boat, circuit).map(({ id }) => id)),
  );
  const isLoad = ({ id }: Circuit): boolean =>
    byId(panel.circuits, id)?.activity === 'drawing' ||
    reserves.some(({ circuit }) => circuit.id === id);
  return boat.circuits
    .filter(({ id, shedding }) => shedding !== undefined && !comesOn.has(id) && !needed.has(id))
    .filter((circuit) => !off.has(circuit.id) && isLoad(circuit))
    .filter((circuit) => full.some((one) => one.shareOf(circuit) > 0))
    .sort((a, b) => (a.shedding ?? 0) - (b.shedding ?? 0));
}

function isAtWorkNow(circuits: Planning['panel']['circuits'], id: PartId): boolean {
  const state = byId(circuits, id);
  return state !== undefined && isAtWork(state);
}
