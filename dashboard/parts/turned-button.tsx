/** Opens the form in which somebody says where they have turned it. A sensor needs no telling. */
import type { MainSwitchState, SelectorState } from '../../daemon/api/contract.ts';
import { visitor } from '../access.ts';
import { maySay } from '../models/roles.ts';
import { askedFor, type Turned } from '../saying.ts';
import { texts } from '../texts.ts';

const words = texts.stating;

export function turnedSelector({ id, label, positions, evidence }: SelectorState): Turned {
  const places = positions.map(({ name }) => ({ name, label: name }));
  return { id, label, places, isStated: evidence === 'stated' };
}

export function turnedSwitch({ id, label, evidence }: MainSwitchState): Turned {
  const places = (['closed', 'open'] as const).map((name) => ({
    name,
    label: words.switchPosition[name],
  }));
  return { id, label, places, isStated: evidence === 'stated' };
}

export function TurnedButton({ turned }: { turned: Turned }) {
  if (!maySay(visitor.value)) return null;
  return (
    <button
      type="button"
      class="quiet turned"
      onClick={() => {
        askedFor.value = { of: 'position', turned };
      }}
    >
      {words.open}
      <span class="for-ears"> {turned.label}</span>
    </button>
  );
}
