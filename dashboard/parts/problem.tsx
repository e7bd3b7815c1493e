/** Something that could not be had from the boat, with a way to try again where there is one. */
import { texts } from '../texts.ts';

export function Problem({ text, again }: { text: string; again?: () => void }) {
  return (
    <p class="problem" role="alert">
      {text}{' '}
      {again !== undefined && (
        <button type="button" onClick={again}>
          {texts.errors.retry}
        </button>
      )}
    </p>
  );
}
