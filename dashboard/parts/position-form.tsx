/** Says where a selector or main switch has been turned; the cautions stand beside it. */
import { sayPosition, type Turned } from '../saying.ts';
import { texts } from '../texts.ts';
import { Choices } from './choices.tsx';
import { SayingForm } from './saying-form.tsx';
import type { Filled } from './saying-form.tsx';

const words = texts.stating;

export function PositionForm({ turned }: { turned: Turned }) {
  const { id, label, places, isStated } = turned;
  const read = (form: FormData): Filled => {
    const chosen = places.find(({ name }) => name === form.get('position'));
    if (chosen === undefined) return { problem: words.none };
    return { send: (by) => sayPosition(id, chosen.name, by) };
  };
  const takeBack = {
    label: words.takeBack,
    send: (by: string) => sayPosition(id, null, by),
  };
  return (
    <SayingForm
      heading={words.heading(label)}
      confirm={words.confirm}
      read={read}
      {...(isStated ? { other: takeBack } : {})}
    >
      <p>{words.why}</p>
      <div class="cautions">
        <h3>{words.cautionsLabel}</h3>
        <ul>
          {words.cautions.map((caution) => (
            <li key={caution}>{caution}</li>
          ))}
        </ul>
      </div>
      <Choices
        name="position"
        legend={words.heading(label)}
        chosen={null}
        choices={places.map((place) => ({ value: place.name, label: place.label }))}
      />
    </SayingForm>
  );
}
