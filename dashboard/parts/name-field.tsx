/** Asks for the name that stands in the record; the last one given here stands in it already. */
import { isNameFixed, LONGEST_NAME, ownName } from '../own-name.ts';
import { texts } from '../texts.ts';

export function NameField({ isMissing }: { isMissing: boolean }) {
  if (isNameFixed.value) return <input type="hidden" name="name" value={ownName.value} />;
  return (
    <div class="name-field">
      <label for="saying-name">{texts.person.label}</label>
      <input
        id="saying-name"
        name="name"
        type="text"
        autocomplete="name"
        maxLength={LONGEST_NAME}
        defaultValue={ownName.value}
        aria-describedby="saying-name-why"
        aria-invalid={isMissing}
      />
      <p id="saying-name-why" class="soft">
        {texts.person.why}
      </p>
    </div>
  );
}
