/** What the schedule shows and in which order. */
import type { PanelState } from '../../daemon/api/contract.ts';
import { SORTS, STATES, type CircuitChoice } from '../models/circuit-list.ts';
import { texts } from '../texts.ts';

const words = texts.circuits;

interface SelectProps<T extends string> {
  label: string;
  value: T;
  options: readonly (readonly [value: T, text: string])[];
  choose: (value: T) => void;
}

function Select<T extends string>({ label, value, options, choose }: SelectProps<T>) {
  return (
    <label>
      {label}
      <select
        value={value}
        onChange={(event) => {
          const chosen = options.find(([own]) => own === event.currentTarget.value);
          if (chosen !== undefined) choose(chosen[0]);
        }}
      >
        {options.map(([own, text]) => (
          <option key={own} value={own}>
            {text}
          </option>
        ))}
      </select>
    </label>
  );
}

export interface CircuitFilterProps {
  panel: PanelState;
  choice: CircuitChoice;
  choose: (choice: CircuitChoice) => void;
}

export function CircuitFilter({ panel, choice, choose }: CircuitFilterProps) {
  const buses = panel.buses.map(({ id, label }) => [id, label] as const);
  return (
    <form class="circuit-filter" role="search" onSubmit={(event) => event.preventDefault()}>
      <label>
        {words.find}
        <input
          type="search"
          placeholder={words.findHint}
          value={choice.text}
          onInput={(event) => choose({ ...choice, text: event.currentTarget.value })}
        />
      </label>
      <Select
        label={words.bus}
        value={choice.bus ?? ''}
        options={[['', words.allBuses], ...buses]}
        choose={(bus) => choose({ ...choice, bus: bus === '' ? null : bus })}
      />
      <Select
        label={words.state}
        value={choice.state}
        options={STATES.map((state) => [state, words.states[state]] as const)}
        choose={(state) => choose({ ...choice, state })}
      />
      <Select
        label={words.sort}
        value={choice.sort}
        options={SORTS.map((sort) => [sort, words.sorts[sort]] as const)}
        choose={(sort) => choose({ ...choice, sort })}
      />
    </form>
  );
}
