/**
 * What the chosen combinations of a diagram agree on, part by part. Soft evidence chooses: it says
 * where a part stands, or what feeds it, and combinations that do not meet it are left out.
 */
import { NOTHING } from './combinations.ts';
import type { Diagram } from './combinations.ts';

/** What the allowed combinations say of one part. */
export interface Agreement {
  choices: Set<number>;
  roots: Set<number>;
  /** For each open leg, what combinations in which its root feeds this part want of it. */
  wants: Map<number, number>;
}

/** Which of a diagram's combinations count. */
export interface Choosing {
  /** By number of the final state; absent: all. */
  isKept?: (final: number) => boolean;
  /** What must hold at a part; absent: anything. */
  rules?: readonly PartRule[];
}

/** Soft evidence about one part: it stands on one of these choices, or is fed by one of these roots. */
export interface PartRule {
  part: number;
  choices?: readonly number[];
  roots?: readonly number[];
}

export interface Agreed {
  parts: Map<number, Agreement>;
  /** What the combinations want of each open leg. */
  open: number[];
}

const meets = (rules: readonly PartRule[], choice: number, root: number): boolean =>
  rules.every(
    (rule) => (rule.choices?.includes(choice) ?? true) && (rule.roots?.includes(root) ?? true),
  );

/** What the chosen combinations agree on, part by part; null where none is left. */
export function agreements(diagram: Diagram, choosing: Choosing = {}): Agreed | null {
  const { layers, openLegs, counts, finals } = diagram;
  const width = openLegs.length;
  const edges = allowedEdges(diagram, choosing.rules ?? []);
  let isAlive = Uint8Array.from(finals, (_, at) => ((choosing.isKept?.(at) ?? true) ? 1 : 0));
  let wants = Uint8Array.from(finals.flatMap((own) => own.wants));
  const parts = new Map<number, Agreement>();
  for (let at = layers.length - 1; at >= 0; at--) {
    const layer = layers[at];
    if (!layer) continue;
    const before = counts[at] ?? 0;
    const aliveBefore = new Uint8Array(before);
    const wantsBefore = new Uint8Array(before * width);
    const own: Agreement = { choices: new Set(), roots: new Set(), wants: new Map() };
    for (const edge of edges[at] ?? []) {
      const from = layer.before[edge] ?? 0;
      const to = layer.after[edge] ?? 0;
      if (isAlive[to] !== 1) continue;
      const root = layer.root[edge] ?? NOTHING;
      aliveBefore[from] = 1;
      own.choices.add(layer.choice[edge] ?? 0);
      own.roots.add(root);
      for (let open = 0; open < width; open++) {
        const bits = wants[to * width + open] ?? 0;
        wantsBefore[from * width + open] = (wantsBefore[from * width + open] ?? 0) | bits;
        if (openLegs[open]?.root === root) own.wants.set(open, (own.wants.get(open) ?? 0) | bits);
      }
    }
    parts.set(layer.part, own);
    isAlive = aliveBefore;
    wants = wantsBefore;
  }
  if (isAlive[0] !== 1) return null;
  return { parts, open: openLegs.map((_, open) => wants[open] ?? 0) };
}

/** Numbers of the steps of each layer that can be reached and that meet the rules. */
function allowedEdges({ layers, counts }: Diagram, rules: readonly PartRule[]): number[][] {
  let reached = Uint8Array.of(1);
  return layers.map((layer, at) => {
    const own = rules.filter((rule) => rule.part === layer.part);
    const next = new Uint8Array(counts[at + 1] ?? 0);
    const edges: number[] = [];
    for (let edge = 0; edge < layer.before.length; edge++) {
      if (reached[layer.before[edge] ?? 0] !== 1) continue;
      if (!meets(own, layer.choice[edge] ?? 0, layer.root[edge] ?? NOTHING)) continue;
      next[layer.after[edge] ?? 0] = 1;
      edges.push(edge);
    }
    reached = next;
    return edges;
  });
}

/** Final states that combinations meeting the rules end in. */
export function finalsOf(diagram: Diagram, rules: readonly PartRule[]): number[] {
  const last = diagram.layers.at(-1);
  if (!last) return [0];
  const edges = allowedEdges(diagram, rules).at(-1) ?? [];
  return [...new Set(edges.map((edge) => last.after[edge] ?? 0))];
}
