/** The form for whatever a person wants to tell, over the page. */
import { useEffect, useRef } from 'preact/hooks';
import { panel } from '../live.ts';
import { askedFor } from '../saying.ts';
import { ModeForm } from './mode-form.tsx';
import { PositionForm } from './position-form.tsx';

function Form() {
  const asked = askedFor.value;
  // What the page learns while somebody fills the form in must not move it under their hands.
  const state = panel.peek();
  if (asked === null || state === null) return null;
  return asked.of === 'mode' ? (
    <ModeForm mode={state.mode} />
  ) : (
    <PositionForm turned={asked.turned} />
  );
}

export function SayingDialog() {
  const dialog = useRef<HTMLDialogElement>(null);
  const isOpen = askedFor.value !== null;

  useEffect(() => {
    if (!isOpen) dialog.current?.close();
    else if (dialog.current?.open === false) dialog.current.showModal();
  }, [isOpen]);

  return (
    <dialog
      ref={dialog}
      class="naming"
      aria-labelledby="saying-heading"
      onClose={() => {
        askedFor.value = null;
      }}
    >
      {isOpen && <Form />}
    </dialog>
  );
}
