/** What must be so before amperes are counted at all: orders, voltage, what else must run or not run. */
import type { Boat, Circuit } from '../boat/boat.ts';
import { byId } from '../panel/lookup.ts';
import type { CircuitState, PanelState } from '../panel/panel-state.ts';
import { isAtWork, mayStart } from './expected-load.ts';
import type { LoadVerdict } from './plan.ts';

export interface Blocked {
  verdict: LoadVerdict;
  because: string;
}

export interface Ready {
  /** Required circuits that do not run yet, those that are required first in front. */
  first: Circuit[];
  /** Circuits that must not run with it and run, or may come on by themselves. */
  excluded: string[];
}

const ORDERS: Partial<Record<NonNullable<Circuit['standingOrder']>, string>> = {
  'out of service': 'It is out of service by its standing order.',
  'leave off': 'It is to be left off by its standing order.',
};

/** Why nothing can be said of amperes, or what else has to run or to be off. */
export function blockedBy(
  { boat, panel }: { boat: Boat; panel: PanelState },
  circuit: Circuit,
  isFed: boolean,
): Blocked | Ready {
  const order = circuit.standingOrder && ORDERS[circuit.standingOrder];
  if (order) return { verdict: 'stays off', because: order };
  const bus = boat.parts.get(circuit.bus)?.label ?? circuit.bus;
  const state = byId(panel.circuits, circuit.id);
  if (state?.live === 'dead') {
    return { verdict: 'no voltage', because: `${bus} reads no voltage for it.` };
  }
  if (state?.live !== 'live') {
    return { verdict: 'not known', because: `Whether ${bus} has voltage is not known.` };
  }
  if (!isFed) return { verdict: 'not known', because: `What feeds ${bus} is not known.` };
  const required = requiredOf(boat, circuit);
  const first: Circuit[] = [];
  for (const own of required) {
    const its = byId(panel.circuits, own.id);
    if (!its || its.activity === 'unknown') {
      const because = `It requires ${own.label}, and whether that runs is not known.`;
      return { verdict: 'not known', because };
    }
    if (isAtWork(its)) continue;
    if (its.live !== 'live') {
      const because = `It requires ${own.label}, which reads no voltage.`;
      return { verdict: its.live === 'dead' ? 'does not fit' : 'not known', because };
    }
    if (own.standingOrder && ORDERS[own.standingOrder]) {
      const because = `It requires ${own.label}, whose standing order is "${own.standingOrder}".`;
      return { verdict: 'does not fit', because };
    }
    first.push(own);
  }
  return excludedBy(boat, panel, [circuit, ...first], first);
}

function excludedBy(
  boat: Boat,
  panel: PanelState,
  starting: readonly Circuit[],
  first: Circuit[],
): Blocked | Ready {
  const excluded = new Set<string>();
  for (const circuit of starting) {
    for (const other of excludedWith(boat, circuit)) {
      const its: CircuitState | undefined = byId(panel.circuits, other.id);
      if (!its || its.activity === 'unknown') {
        const because = `It must not run together with ${other.label}, and whether that runs is not known.`;
        return { verdict: 'not known', because };
      }
      if (its.activity === 'drawing' || mayStart(other, its)) excluded.add(other.id);
    }
  }
  return { first, excluded: [...excluded] };
}

/** Circuits that exclude each other, whichever of them says so. */
const excludedWith = (boat: Boat, { id, excludes }: Circuit): Circuit[] =>
  boat.circuits.filter((other) => excludes.includes(other.id) || other.excludes.includes(id));

/** All that it requires, and what that requires in turn, in the order to start them. */
export function requiredOf(boat: Boat, circuit: Circuit): Circuit[] {
  const found = new Map<string, Circuit>();
  const collect = (ids: readonly string[]): void => {
    for (const id of ids) {
      const own = byId(boat.circuits, id);
      if (!own || found.has(id) || id === circuit.id) continue;
      collect(own.requires);
      found.set(id, own);
    }
  };
  collect(circuit.requires);
  return [...found.values()];
}
