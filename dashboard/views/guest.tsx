/** One screen without figures, for somebody who has never been aboard. */
import { openAlerts, panel } from '../live.ts';
import { inOrder } from '../models/alert-list.ts';
import { feedingSentence } from '../models/feeding.ts';
import { texts } from '../texts.ts';

const words = texts.guest;

function Wrong() {
  const open = openAlerts.value;
  if (open === null) return <p>{words.notKnown}</p>;
  const alerts = inOrder(open.values());
  if (alerts.length === 0) return <p>{words.nothingWrong}</p>;
  return (
    <>
      <ul>
        {alerts.map(({ id, title }) => (
          <li key={id}>{title}</li>
        ))}
      </ul>
      <p>
        <strong>{words.tell}</strong>
      </p>
    </>
  );
}

export function GuestView() {
  const state = panel.value;
  return (
    <section class="guest" aria-labelledby="guest-heading">
      <h2 id="guest-heading">{words.heading}</h2>
      <h3>{words.power}</h3>
      <p>{state === null ? texts.waiting : feedingSentence(state)}</p>
      <h3>{words.wrong}</h3>
      <Wrong />
    </section>
  );
}
