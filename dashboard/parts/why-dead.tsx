/** "Why no voltage?": asked of the boat when somebody opens it, and kept up to date while open. */
import { useState } from 'preact/hooks';
import { askWhyDead } from '../api.ts';
import { useAsked } from '../asking.ts';
import { texts } from '../texts.ts';
import { Problem } from './problem.tsx';

const words = texts.whyDead;
const AGAIN_MS = 5_000;

function Answer({ id }: { id: string }) {
  const { answer, problem } = useAsked(() => askWhyDead(id), [id], AGAIN_MS);
  if (problem !== null) return <Problem text={problem} />;
  if (answer === null) return <p class="soft">{texts.loading}</p>;
  const { sentence, doThis, also, cautions } = answer;
  return (
    <>
      <p>{sentence}</p>
      {doThis !== '' && (
        <p>
          <strong>{words.doThis}</strong> {doThis}
        </p>
      )}
      {also.map((own) => (
        <p key={own}>{own}</p>
      ))}
      {cautions.length > 0 && (
        <>
          <p>
            <strong>{texts.alerts.cautions}</strong>
          </p>
          <ul>
            {cautions.map((caution) => (
              <li key={caution}>{caution}</li>
            ))}
          </ul>
        </>
      )}
    </>
  );
}

/** `asks`: the question as it stands on the page; `label` tells the ears whom it is about, unless it says so. */
export function WhyDead({ id, label, asks }: { id: string; label?: string; asks: string }) {
  const [isOpen, setOpen] = useState(false);
  return (
    <details class="why-dead" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>
        {asks}
        {label !== undefined && <span class="for-ears"> {label}</span>}
      </summary>
      {isOpen && <Answer id={id} />}
    </details>
  );
}
