/** When something ends: one of some lengths, each with its instant, or a date and time of one's own. */
import { useId } from 'preact/hooks';
import { clockText } from '../format.ts';
import { boatNowMs } from '../live.ts';
import { endFrom, OTHER_END } from '../models/alert-acts.ts';
import { fromLocalInput, ownOffsetAt } from '../models/local-input.ts';
import { texts } from '../texts.ts';
import { Choices } from './choices.tsx';

const words = texts.acts;
const CHOICE = 'end';
const WRITTEN = 'written-end';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;

function lengthText(ms: number): string {
  if (ms < HOUR_MS) return words.minutes(ms / MINUTE_MS);
  return ms < DAY_MS ? words.hours(ms / HOUR_MS) : words.days(ms / DAY_MS);
}

/** The end on the boat's clock, as it is now; null where none is chosen or it cannot be read. */
export function readEnd(form: FormData): number | null {
  const nowMs = boatNowMs.peek();
  if (nowMs === null) return null;
  return endFrom(form.get(CHOICE), form.get(WRITTEN), nowMs, (text) =>
    fromLocalInput(text, ownOffsetAt),
  );
}

export interface EndChoiceProps {
  legend: string;
  lengthsMs: readonly number[];
  chosenMs: number;
  /** The sentence beside a length, from its instant. */
  about: (clock: string) => string;
}

export function EndChoice({ legend, lengthsMs, chosenMs, about }: EndChoiceProps) {
  const id = useId();
  const nowMs = boatNowMs.value;
  const choices = lengthsMs.map((ms) => ({
    value: String(ms),
    label: lengthText(ms),
    ...(nowMs === null ? {} : { about: about(clockText(nowMs + ms, nowMs)) }),
  }));
  /** Whoever writes an end means it. */
  const choose = (event: { currentTarget: HTMLInputElement }) => {
    const other = event.currentTarget.form?.querySelector(`input[value="${OTHER_END}"]`);
    if (other instanceof HTMLInputElement) other.checked = true;
  };
  return (
    <div class="end-choice">
      <Choices
        name={CHOICE}
        legend={legend}
        chosen={String(chosenMs)}
        choices={[...choices, { value: OTHER_END, label: words.otherEnd }]}
      />
      <label for={id} class="for-ears">
        {words.endLabel}
      </label>
      <input id={id} type="datetime-local" name={WRITTEN} onInput={choose} />
    </div>
  );
}
