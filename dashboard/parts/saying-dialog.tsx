/** The form for whatever a person wants to tell, over the page. */
import { useEffect, useRef } from 'preact/hooks';
import { focusAsPlanned } from '../focus.ts';
import { panel } from '../live.ts';
import { askedFor } from '../saying.ts';
import { InspectedForm } from './inspected-form.tsx';
import { ModeForm } from './mode-form.tsx';
import { PositionForm } from './position-form.tsx';
import { ServiceForm } from './service-form.tsx';
import { ShelveForm } from './shelve-form.tsx';

function Form() {
  const asked = askedFor.value;
  // What the page learns while somebody fills the form in must not move it under their hands.
  const state = panel.peek();
  if (asked === null || state === null) return null;
  switch (asked.of) {
    case 'mode':
      return <ModeForm mode={state.mode} />;
    case 'position':
      return <PositionForm turned={asked.turned} />;
    case 'shelve':
      return <ShelveForm alert={asked.alert} />;
    case 'out-of-service':
      return <ServiceForm alert={asked.alert} />;
    case 'inspected':
      return <InspectedForm alert={asked.alert} />;
  }
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
        focusAsPlanned();
      }}
    >
      {isOpen && <Form />}
    </dialog>
  );
}
