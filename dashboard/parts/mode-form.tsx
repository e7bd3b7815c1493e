/** Says what the boat is about, and until when. */
import { useId } from 'preact/hooks';
import type { ModeBody, PanelState } from '../../daemon/api/contract.ts';
import { fromLocalInput, ownOffsetAt } from '../models/local-input.ts';
import { sayMode } from '../saying.ts';
import { texts } from '../texts.ts';
import { Choices } from './choices.tsx';
import { SayingForm } from './saying-form.tsx';
import type { Filled } from './saying-form.tsx';

const words = texts.mode;
const MODES: readonly ModeBody['mode'][] = ['aboard', 'away', 'under way', 'work in progress'];

export function ModeForm({ mode }: Pick<PanelState, 'mode'>) {
  const endId = useId();
  const read = (form: FormData): Filled => {
    const chosen = MODES.find((own) => own === form.get('mode')) ?? mode.name;
    const end = form.get('until');
    const field = document.getElementById(endId);
    // A half-written date has no value, and is not the same as none.
    const isHalf = field instanceof HTMLInputElement && field.validity.badInput;
    const untilMs = end === '' || end === null ? null : fromLocalInput(end, ownOffsetAt);
    if (isHalf || (untilMs === null && end !== '' && end !== null)) {
      return { problem: words.notAnEnd };
    }
    return { send: (by) => sayMode(chosen, untilMs, by) };
  };
  return (
    <SayingForm heading={words.heading} confirm={words.confirm} read={read}>
      <Choices
        name="mode"
        legend={words.heading}
        chosen={mode.name}
        choices={MODES.map((own) => ({
          value: own,
          label: words.is[own],
          about: words.about[own],
        }))}
      />
      <div class="name-field">
        <label for={endId}>{words.end}</label>
        <input id={endId} type="datetime-local" name="until" aria-describedby={`${endId}-hint`} />
        <p id={`${endId}-hint`} class="soft">
          {words.endHint}
        </p>
      </div>
    </SayingForm>
  );
}
