/** What both forms share: the name, what went wrong, the way out, and sending only once. */
import type { ComponentChildren, TargetedSubmitEvent } from 'preact';
import { useState } from 'preact/hooks';
import { askedFor } from '../saying.ts';
import { texts } from '../texts.ts';
import { NameField } from './name-field.tsx';

/** What was filled in, ready to send; or what is wrong with it, in words. */
export type Filled = { send: (by: string) => Promise<string | null> } | { problem: string };

export interface SayingFormProps {
  heading: string;
  confirm: string;
  read: (form: FormData) => Filled;
  /** A second thing that may be said with the same name. */
  other?: { label: string; send: (by: string) => Promise<string | null> };
  children: ComponentChildren;
}

const OTHER = 'other';

function isOther({ submitter }: SubmitEvent): boolean {
  return submitter instanceof HTMLButtonElement && submitter.value === OTHER;
}

export function SayingForm({ heading, confirm, read, other, children }: SayingFormProps) {
  const [problem, setProblem] = useState<string | null>(null);
  const [isMissing, setMissing] = useState(false);
  const [isSending, setSending] = useState(false);

  const submit = async (event: TargetedSubmitEvent<HTMLFormElement>) => {
    event.preventDefault();
    if (isSending) return;
    const form = new FormData(event.currentTarget);
    const filled: Filled = other !== undefined && isOther(event) ? other : read(form);
    const given = form.get('name');
    const by = typeof given === 'string' ? given.trim() : '';
    setMissing(by === '');
    const wrong = 'problem' in filled ? filled.problem : by === '' ? texts.person.empty : null;
    setProblem(wrong);
    if (wrong !== null || 'problem' in filled) return;
    setSending(true);
    const refusal = await filled.send(by);
    setSending(false);
    setProblem(refusal);
    if (refusal === null) askedFor.value = null;
  };

  return (
    <form onSubmit={(event) => void submit(event)} noValidate>
      <h2 id="saying-heading">{heading}</h2>
      {children}
      <NameField isMissing={isMissing} />
      <p class="problem" role="alert">
        {problem}
      </p>
      <p class="naming-buttons">
        <button type="submit" class="act" aria-disabled={isSending}>
          {isSending ? texts.person.sending : confirm}
        </button>
        {other !== undefined && (
          <button type="submit" value={OTHER} aria-disabled={isSending}>
            {other.label}
          </button>
        )}
        <button
          type="button"
          onClick={() => {
            askedFor.value = null;
          }}
        >
          {texts.person.cancel}
        </button>
      </p>
    </form>
  );
}
