/** The panel schedule: every circuit, bus by bus, in the order of the boat's own panel. */
import { panel } from '../live.ts';
import { labelsOf } from '../models/feeding.ts';
import { Schedule } from '../parts/schedule.tsx';
import { texts } from '../texts.ts';

export function CircuitsView() {
  const state = panel.value;
  return (
    <section class="buses" aria-labelledby="circuits-heading">
      <h2 id="circuits-heading">{texts.circuits.heading}</h2>
      {state === null && <p class="soft">{texts.waiting}</p>}
      {state?.buses.map(({ id, label }) => (
        <article class="bus" key={id}>
          <h3>{label}</h3>
          <Schedule
            busLabel={label}
            circuits={state.circuits.filter(({ bus }) => bus === id)}
            panel={state}
            labels={labelsOf(state)}
          />
        </article>
      ))}
      <p class="soft legend">{texts.known.legend}</p>
      <p class="soft legend">{texts.schedule.legend}</p>
    </section>
  );
}
