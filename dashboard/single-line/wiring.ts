/** What a single-line diagram is drawn from: the parts of a panel and what feeds what. Pure. */
import type { PanelState, SourceState } from '../../daemon/api/contract.ts';
import { batteryLabel, mainSwitchLabel } from './rated-labels.ts';

export type PartKind = SourceState['kind'] | 'battery' | 'selector' | 'main switch' | 'bus';

/** One way in: a position of a selector, or the only one of a switch or a bus. */
export interface Inlet {
  /** Position name; empty for what has no positions. */
  name: string;
  from: string | null;
}

export interface WiredPart {
  id: string;
  label: string;
  kind: PartKind;
  inlets: Inlet[];
}

export interface WiredCircuit {
  id: string;
  /** Place on the panel; null where the boat file gives none. */
  position: string | null;
  label: string;
  bus: string;
}

export interface Wiring {
  /** Each after everything that can feed it. */
  parts: WiredPart[];
  circuits: WiredCircuit[];
}

/** Parts in the order of supply; those that would feed themselves come last, as they were. */
function inOrder(parts: readonly WiredPart[]): WiredPart[] {
  const byId = new Map(parts.map((part) => [part.id, part]));
  const placed = new Set<string>();
  const ordered: WiredPart[] = [];
  const visit = (part: WiredPart): void => {
    if (placed.has(part.id)) return;
    placed.add(part.id);
    for (const { from } of part.inlets) {
      const above = from === null ? undefined : byId.get(from);
      if (above) visit(above);
    }
    ordered.push(part);
  };
  for (const part of parts) visit(part);
  return ordered;
}

type Described = Pick<
  PanelState,
  'sources' | 'batteries' | 'selectors' | 'mainSwitches' | 'buses' | 'circuits'
>;

export function wiringOf(panel: Described): Wiring {
  const only = (from: string): Inlet[] => [{ name: '', from }];
  const parts: WiredPart[] = [
    ...panel.sources.map(({ id, label, kind, battery }) => ({
      id,
      label,
      kind,
      inlets: kind === 'inverter' && battery !== undefined ? only(battery) : [],
    })),
    ...panel.batteries.map((battery) => ({
      id: battery.id,
      label: batteryLabel(battery),
      kind: 'battery' as const,
      inlets: panel.sources
        .filter((own) => own.system === 'dc' && own.battery === battery.id)
        .map((own) => ({ name: '', from: own.id })),
    })),
    ...panel.selectors.map(({ id, label, positions }) => ({
      id,
      label,
      kind: 'selector' as const,
      inlets: positions.map(({ name, from }) => ({ name, from })),
    })),
    ...panel.mainSwitches.map((own) => ({
      id: own.id,
      label: mainSwitchLabel(own),
      kind: 'main switch' as const,
      inlets: only(own.from),
    })),
    ...panel.buses.map(({ id, label, from }) => ({
      id,
      label,
      kind: 'bus' as const,
      inlets: only(from),
    })),
  ];
  const circuits = panel.circuits.map(({ id, position, label, bus }) => ({
    id,
    position,
    label,
    bus,
  }));
  return { parts: inOrder(parts), circuits };
}
