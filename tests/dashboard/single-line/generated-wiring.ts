/** Boats of all sizes for the layout: chained selectors, AC and DC, long labels and short ones. */
import fc from 'fast-check';
import type { WiredCircuit, WiredPart, Wiring } from '../../../dashboard/single-line/wiring.ts';

const LABELS = [
  'G',
  'SHORE',
  'Bow inlet',
  'Large generator, starboard engine room',
  'HOUSE MAIN',
  'Air conditioner, owner’s cabin',
  'Wwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwww',
  'Instruments and network',
  '発電機と陸電の切替',
];

const pick = <T>(list: readonly T[], index: number): T => {
  const found = list[index % list.length];
  if (found === undefined) throw new Error('An empty list');
  return found;
};

export interface Sizes {
  circuits: number;
  sources: number;
  selectors: number;
  switches: number;
  buses: number;
  batteries: number;
  /** Decides what feeds what. */
  picks: number[];
}

export const sizes: fc.Arbitrary<Sizes> = fc.record({
  circuits: fc.integer({ min: 4, max: 80 }),
  sources: fc.integer({ min: 1, max: 6 }),
  selectors: fc.integer({ min: 0, max: 6 }),
  switches: fc.integer({ min: 0, max: 8 }),
  buses: fc.integer({ min: 1, max: 6 }),
  batteries: fc.integer({ min: 0, max: 3 }),
  picks: fc.array(fc.nat(1000), { minLength: 12, maxLength: 40 }),
});

export function generatedWiring(given: Sizes): Wiring {
  let at = 0;
  const next = (): number => (given.picks[at++ % given.picks.length] ?? 0) + at;
  const label = (): string => pick(LABELS, next());
  const parts: WiredPart[] = [];
  const add = (id: string, kind: WiredPart['kind'], inlets: WiredPart['inlets']): void => {
    parts.push({ id, kind, label: label(), inlets });
  };
  const kinds = ['shore inlet', 'generator', 'inverter', 'solar'] as const;
  for (let i = 0; i < given.sources; i++) add(`source-${i}`, pick(kinds, next()), []);
  for (let i = 0; i < given.batteries; i++) {
    const solar = parts.filter((own) => own.kind === 'solar' && next() % 2 === 0);
    add(
      `battery-${i}`,
      'battery',
      solar.map(({ id }) => ({ name: '', from: id })),
    );
  }
  const feeding = (): string => pick(parts, next()).id;
  const order = [
    ...Array.from({ length: given.selectors }, () => 'selector' as const),
    ...Array.from({ length: given.switches }, () => 'main switch' as const),
  ].sort(() => (next() % 2 === 0 ? 1 : -1));
  order.forEach((kind, index) => {
    if (kind === 'main switch') {
      add(`switch-${index}`, kind, [{ name: '', from: feeding() }]);
      return;
    }
    const count = 2 + (next() % 3);
    const inlets = Array.from({ length: count }, (_, i) => ({
      name: label(),
      from: i === 1 && next() % 2 === 0 ? null : feeding(),
    }));
    add(`selector-${index}`, kind, inlets);
  });
  const feeders = parts.map(({ id }) => id);
  for (let i = 0; i < given.buses; i++) {
    add(`bus-${i}`, 'bus', [{ name: '', from: pick(feeders, next()) }]);
  }
  const circuits: WiredCircuit[] = Array.from({ length: given.circuits }, (_, i) => ({
    id: `circuit-${i}`,
    position: next() % 3 === 0 ? null : `C-${i}`,
    label: label(),
    bus: `bus-${next() % given.buses}`,
  }));
  return { parts, circuits };
}
