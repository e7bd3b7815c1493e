/** One of several, as radio buttons with a line of explanation each. */
export interface Choice {
  value: string;
  label: string;
  about?: string;
}

export interface ChoicesProps {
  name: string;
  legend: string;
  choices: readonly Choice[];
  chosen: string | null;
}

export function Choices({ name, legend, choices, chosen }: ChoicesProps) {
  return (
    <fieldset class="choices">
      <legend class="for-ears">{legend}</legend>
      {choices.map(({ value, label, about }) => (
        <label key={value}>
          <input type="radio" name={name} value={value} defaultChecked={value === chosen} />
          <span>
            {label}
            {about !== undefined && <span class="soft choice-about">{about}</span>}
          </span>
        </label>
      ))}
    </fieldset>
  );
}
