/** Which parts of the diagram have voltage, as far as the panel tells. Pure. */
import type { LegState, PanelState } from '../../daemon/api/contract.ts';

export type Energised = 'live' | 'dead' | 'unknown';

/** Below this a bank's voltage says nothing. Its nominal voltage is not on the wire; 12 V is the least there is. */
const BATTERY_VOLTS = 5;

const ofLegs = (legs: readonly Pick<LegState, 'live'>[]): Energised => {
  if (legs.some(({ live }) => live === 'live')) return 'live';
  return legs.length > 0 && legs.every(({ live }) => live === 'dead') ? 'dead' : 'unknown';
};

const ofBattery = (volts: number | null): Energised => {
  if (volts === null) return 'unknown';
  return volts > BATTERY_VOLTS ? 'live' : 'unknown';
};

/** What every one of them says, else unknown. */
const agreed = (states: readonly Energised[]): Energised => {
  const [first] = states;
  return first !== undefined && states.every((own) => own === first) ? first : 'unknown';
};

/**
 * The outlet of every part by id. What the way from the source leaves open, a bus behind it may
 * still tell: it reads what stands at its feeder's outlet.
 */
export function energisedParts(panel: PanelState): ReadonlyMap<string, Energised> {
  const found = new Map<string, Energised>();
  for (const { id, legs, system } of panel.sources) {
    // What charges a bank shares its voltage, and has no sensor of its own on its legs.
    found.set(id, system === 'dc' ? 'unknown' : ofLegs(legs));
  }
  for (const { id, volts } of panel.batteries) found.set(id, ofBattery(volts.value));
  for (const { id, legs } of panel.buses) found.set(id, ofLegs(legs));
  const selectors = new Map(panel.selectors.map((own) => [own.id, own]));
  const switches = new Map(panel.mainSwitches.map((own) => [own.id, own]));
  const at = (id: string | null): Energised => {
    if (id === null) return 'dead';
    const known = found.get(id);
    if (known !== undefined) return known;
    found.set(id, 'unknown');
    const own = byWay(id);
    const told = own === 'unknown' ? byWhatFollows(id) : own;
    found.set(id, told);
    return told;
  };
  const byWay = (id: string): Energised => {
    const selector = selectors.get(id);
    if (selector) {
      const from = (name: string) => selector.positions.find((one) => one.name === name)?.from;
      return agreed(selector.possible.map((name) => at(from(name) ?? null)));
    }
    const own = switches.get(id);
    if (!own || own.position === 'unknown') return 'unknown';
    return own.position === 'closed' ? at(own.from) : 'dead';
  };
  const behind = (id: string): Energised => {
    const state = byWay(id);
    return state === 'unknown' ? byWhatFollows(id) : state;
  };
  // What hangs on an outlet without anything open between reads what the outlet has.
  const byWhatFollows = (id: string): Energised => {
    const buses = panel.buses.filter(({ from }) => from === id).map(({ legs }) => ofLegs(legs));
    const closed = panel.mainSwitches.filter(
      ({ from, position }) => from === id && position === 'closed',
    );
    const turned = panel.selectors.filter(({ position, positions }) =>
      positions.some(({ name, from }) => name === position && from === id),
    );
    const told = [...buses, ...[...closed, ...turned].map((own) => behind(own.id))];
    return agreed(told.filter((own) => own !== 'unknown'));
  };
  for (const id of [...selectors.keys(), ...switches.keys()]) at(id);
  return found;
}
