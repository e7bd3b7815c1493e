/** Why somebody puts an alert away, in their own words. */
import { useId } from 'preact/hooks';

/** The boat's own limit. */
const LONGEST_REASON = 300;
const NAME = 'reason';

/** Empty where nothing was written. */
export function readReason(form: FormData): string {
  const given = form.get(NAME);
  return typeof given === 'string' ? given.trim() : '';
}

export function ReasonField({ label, written }: { label: string; written: string }) {
  const id = useId();
  return (
    <div class="name-field">
      <label for={id}>{label}</label>
      <input
        id={id}
        type="text"
        name={NAME}
        maxLength={LONGEST_REASON}
        autocomplete="off"
        defaultValue={written}
      />
    </div>
  );
}
