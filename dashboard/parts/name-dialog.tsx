/** Asks once who acknowledges, silences or puts back an alert. */
import type { TargetedSubmitEvent } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { answerNaming, naming } from '../acting.ts';
import { LONGEST_NAME, ownName } from '../own-name.ts';
import { texts } from '../texts.ts';

export function NameDialog() {
  const open = naming.value;
  const asked = open?.asked ?? null;
  const dialog = useRef<HTMLDialogElement>(null);
  const [problem, setProblem] = useState<string | null>(null);

  useEffect(() => {
    if (open === null) dialog.current?.close();
    else if (dialog.current?.open === false) dialog.current.showModal();
    setProblem(null);
  }, [open]);

  const answer = (event: TargetedSubmitEvent<HTMLFormElement>) => {
    event.preventDefault();
    const given = new FormData(event.currentTarget).get('name');
    const name = typeof given === 'string' ? given.trim() : '';
    if (name === '') {
      setProblem(texts.naming.empty);
      return;
    }
    void answerNaming(name);
  };

  return (
    <dialog
      ref={dialog}
      class="naming"
      aria-labelledby="naming-heading"
      onClose={() => {
        naming.value = null;
      }}
    >
      {open !== null && (
        <form onSubmit={answer} noValidate>
          <h2 id="naming-heading">
            {asked === null ? texts.naming.own : texts.acts.who[asked.act]}
          </h2>
          {asked !== null && <p class="naming-alert">{asked.alert.title}</p>}
          <label for="naming-name">{texts.naming.label}</label>
          <input
            id="naming-name"
            name="name"
            type="text"
            autocomplete="name"
            maxLength={LONGEST_NAME}
            defaultValue={ownName.value}
            aria-describedby="naming-why naming-problem"
            aria-invalid={problem !== null}
          />
          <p id="naming-problem" class="problem" role="alert">
            {problem}
          </p>
          <p id="naming-why" class="soft">
            {texts.naming.why}
          </p>
          <p class="naming-buttons">
            <button type="submit" class="act">
              {asked === null ? texts.naming.save : texts.acts.label[asked.act]}
            </button>
            <button type="button" onClick={() => dialog.current?.close()}>
              {texts.naming.cancel}
            </button>
          </p>
        </form>
      )}
    </dialog>
  );
}
