/** Which circuits the schedule shows, and in which order; kept in the address. Pure. */
import type { CircuitState, PanelState } from '../../daemon/api/contract.ts';

export const SORTS = ['panel', 'load', 'share', 'energy', 'since', 'label'] as const;
export type Sort = (typeof SORTS)[number];
export const STATES = ['all', 'drawing', 'not drawing', 'unknown', 'attention'] as const;
export type Shown = (typeof STATES)[number];

export interface CircuitChoice {
  /** Null: every bus. */
  bus: string | null;
  state: Shown;
  text: string;
  sort: Sort;
  /** The circuit that is opened; null: none. */
  open: string | null;
}

/** Watt-hours of today by circuit. */
export type Energies = ReadonlyMap<string, number>;

const oneOf = <T extends string>(all: readonly T[], text: string | null): T | undefined =>
  all.find((own) => own === text);

/** Whatever is not understood is left at its default. */
export function readChoice(query: string): CircuitChoice {
  const given = new URLSearchParams(query);
  return {
    bus: given.get('bus'),
    state: oneOf(STATES, given.get('state')) ?? 'all',
    text: given.get('text') ?? '',
    sort: oneOf(SORTS, given.get('sort')) ?? 'panel',
    open: given.get('open'),
  };
}

/** What stands after the `?`; `readChoice` of it gives the same choice. */
export function queryOf({ bus, state, text, sort, open }: CircuitChoice): string {
  const query = new URLSearchParams();
  if (bus !== null) query.set('bus', bus);
  if (state !== 'all') query.set('state', state);
  if (text !== '') query.set('text', text);
  if (sort !== 'panel') query.set('sort', sort);
  if (open !== null) query.set('open', open);
  return query.toString();
}

/** Something about it asks for a look: no voltage, above its rating, or not as it was ordered. */
export function needsLook({ live, loadRatio, standingOrder, activity }: CircuitState): boolean {
  if (live === 'dead' || (loadRatio.value ?? 0) > 1) return true;
  if (standingOrder === 'should be on') return activity === 'not drawing';
  return standingOrder !== null && activity === 'drawing';
}

function isShown(circuit: CircuitState, { bus, state, text }: CircuitChoice): boolean {
  if (bus !== null && circuit.bus !== bus) return false;
  if (state === 'attention' && !needsLook(circuit)) return false;
  if (state !== 'all' && state !== 'attention' && circuit.activity !== state) return false;
  const words = text.toLocaleLowerCase().split(/\s+/);
  const all =
    `${circuit.position ?? ''} ${circuit.label} ${circuit.note ?? ''}`.toLocaleLowerCase();
  return words.every((word) => all.includes(word));
}

/** Larger first; null: not known, which comes last. */
function rankOf(circuit: CircuitState, sort: Sort, energies: Energies): number | null {
  switch (sort) {
    case 'load':
      return circuit.amps.value;
    case 'share':
      return circuit.loadRatio.value;
    case 'energy':
      return energies.get(circuit.id) ?? null;
    case 'since':
      return circuit.activeSinceMs;
    case 'panel':
    case 'label':
      return null;
  }
}

/** The circuits that are shown, in the order chosen; the order of the boat file breaks ties. */
export function circuitsShown(
  { circuits }: Pick<PanelState, 'circuits'>,
  choice: CircuitChoice,
  energies: Energies,
): CircuitState[] {
  const shown = circuits.filter((circuit) => isShown(circuit, choice));
  const { sort } = choice;
  if (sort === 'panel') return shown;
  if (sort === 'label') return shown.sort((a, b) => a.label.localeCompare(b.label));
  const ranks = new Map(shown.map((own) => [own.id, rankOf(own, sort, energies)]));
  const rank = ({ id }: CircuitState): number => ranks.get(id) ?? Number.NEGATIVE_INFINITY;
  return shown.sort((a, b) => (rank(a) === rank(b) ? 0 : rank(b) - rank(a)));
}
