/** A form of a few fields that the boat answers with yes or with a sentence. Pasting is welcome. */
import type { ComponentChildren, TargetedSubmitEvent } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { texts } from '../texts.ts';

const words = texts.access;

export interface Field {
  name: 'code' | 'name' | 'password';
  label: string;
  hint?: string;
  autocomplete: 'username' | 'current-password' | 'new-password' | 'one-time-code';
}

export interface DoorFormProps {
  heading: string;
  why: string;
  confirm: string;
  fields: readonly Field[];
  /** Null where it worked. */
  send: (given: Partial<Record<Field['name'], string>>) => Promise<string | null>;
  /** Beside the button that sends. */
  more?: ComponentChildren;
  children?: ComponentChildren;
}

function FieldRow({
  field,
  isShown,
  isMissing,
}: {
  field: Field;
  isShown: boolean;
  isMissing: boolean;
}) {
  const { name, label, hint, autocomplete } = field;
  const id = `door-${name}`;
  const isHidden = name === 'password' && !isShown;
  const common = {
    id,
    name,
    autocomplete,
    autocapitalize: 'none',
    spellcheck: false,
    'aria-describedby': hint === undefined ? 'door-problem' : `${id}-hint door-problem`,
    'aria-invalid': isMissing,
  } as const;
  return (
    <p>
      <label for={id}>{label}</label>
      {isHidden ? (
        <input {...common} type="password" />
      ) : (
        <input {...common} type="text" inputMode={name === 'code' ? 'numeric' : 'text'} />
      )}
      {hint !== undefined && (
        <span class="soft hint" id={`${id}-hint`}>
          {hint}
        </span>
      )}
    </p>
  );
}

/** Exactly as it was typed, a password above all. */
function givenIn(form: HTMLFormElement, fields: readonly Field[]) {
  const filled = new FormData(form);
  return Object.fromEntries(
    fields.map(({ name }): [string, string] => {
      const value = filled.get(name);
      return [name, typeof value === 'string' ? value : ''];
    }),
  );
}

export function DoorForm({ heading, why, confirm, fields, send, more, children }: DoorFormProps) {
  const [problem, setProblem] = useState<string | null>(null);
  const [isShown, setShown] = useState(false);
  const [isSending, setSending] = useState(false);
  const first = useRef<HTMLHeadingElement>(null);
  useEffect(() => first.current?.focus(), []);

  const submit = async (event: TargetedSubmitEvent<HTMLFormElement>) => {
    event.preventDefault();
    if (isSending) return;
    const given = givenIn(event.currentTarget, fields);
    if (Object.values(given).some((value) => value.trim() === '')) {
      setProblem(words.empty);
      return;
    }
    setProblem(null);
    setSending(true);
    const refusal = await send(given);
    setSending(false);
    setProblem(refusal);
  };

  return (
    <form class="door-form" onSubmit={(event) => void submit(event)} noValidate>
      <h2 ref={first} tabIndex={-1}>
        {heading}
      </h2>
      <p class="soft">{why}</p>
      {fields.map((field) => (
        <FieldRow
          key={field.name}
          field={field}
          isShown={isShown}
          isMissing={problem === words.empty}
        />
      ))}
      <label class="show-password">
        <input
          type="checkbox"
          checked={isShown}
          onChange={(event) => setShown(event.currentTarget.checked)}
        />
        {words.door.show}
      </label>
      <p id="door-problem" class="problem" role="alert">
        {problem}
      </p>
      <p class="naming-buttons">
        <button type="submit" class="act" aria-disabled={isSending}>
          {isSending ? words.sending : confirm}
        </button>
        {more}
      </p>
      {children}
    </form>
  );
}
