/** Asks for the password once more, where the boat wants it before a change. */
import type { TargetedSubmitEvent } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { isPasswordWanted, proveAgain } from '../access.ts';
import { texts } from '../texts.ts';

const words = texts.access.again;

export function PasswordDialog() {
  const isOpen = isPasswordWanted.value;
  const dialog = useRef<HTMLDialogElement>(null);
  const [problem, setProblem] = useState<string | null>(null);

  useEffect(() => {
    if (!isOpen) dialog.current?.close();
    else if (dialog.current?.open === false) dialog.current.showModal();
    setProblem(null);
  }, [isOpen]);

  const answer = async (event: TargetedSubmitEvent<HTMLFormElement>) => {
    event.preventDefault();
    const given = new FormData(event.currentTarget).get('password');
    const password = typeof given === 'string' ? given : '';
    setProblem(password === '' ? texts.access.empty : await proveAgain(password));
  };

  return (
    <dialog
      ref={dialog}
      class="naming"
      aria-labelledby="again-heading"
      onClose={() => {
        isPasswordWanted.value = false;
      }}
    >
      {isOpen && (
        <form onSubmit={(event) => void answer(event)} noValidate>
          <h2 id="again-heading">{words.heading}</h2>
          <p class="soft">{words.why}</p>
          <label for="again-password">{texts.access.door.password}</label>
          <input
            id="again-password"
            name="password"
            type="password"
            autocomplete="current-password"
            aria-describedby="again-problem"
          />
          <p id="again-problem" class="problem" role="alert">
            {problem}
          </p>
          <p class="naming-buttons">
            <button type="submit" class="act">
              {words.confirm}
            </button>
            <button type="button" onClick={() => dialog.current?.close()}>
              {words.cancel}
            </button>
          </p>
        </form>
      )}
    </dialog>
  );
}
