/** The panel schedule: every circuit as on the boat's own panel, or sorted and filtered, and one of them open. */
import { useEffect, useRef } from 'preact/hooks';
import type { CircuitState, PanelState, SurveyAnswer } from '../../daemon/api/contract.ts';
import { replaceRoute, route } from '../browser-route.ts';
import { DASH } from '../format.ts';
import { panel } from '../live.ts';
import {
  circuitsShown,
  queryOf,
  readChoice,
  type CircuitChoice,
  type Energies,
} from '../models/circuit-list.ts';
import { labelsOf, liveOf } from '../models/feeding.ts';
import { energyOf } from '../models/today.ts';
import { CircuitDetail } from '../parts/circuit-detail.tsx';
import { CircuitFilter } from '../parts/circuit-filter.tsx';
import { Schedule, type ScheduleMore } from '../parts/schedule.tsx';
import { WhyDead } from '../parts/why-dead.tsx';
import { hashOf } from '../route.ts';
import { texts } from '../texts.ts';
import { useToday } from '../today.ts';

const words = texts.circuits;

const addressOf = (choice: CircuitChoice): string =>
  hashOf({ view: 'circuits', query: queryOf(choice) });

function energiesOf(today: SurveyAnswer | null, circuits: readonly CircuitState[]): Energies {
  const known = circuits.flatMap((circuit) => {
    const energy = energyOf(today, circuit);
    return energy === null ? [] : [[circuit.id, energy.wattHours] as const];
  });
  return new Map(known);
}

function EnergyText({ today, circuit }: { today: SurveyAnswer | null; circuit: CircuitState }) {
  const energy = energyOf(today, circuit);
  if (energy !== null) return <span class="circuit-energy-text">{energy.text}</span>;
  return (
    <span class="soft">
      <span aria-hidden="true">{DASH} </span>
      {texts.known.unknown}
    </span>
  );
}

interface ListProps {
  state: PanelState;
  choice: CircuitChoice;
  today: SurveyAnswer | null;
}

function List({ state, choice, today }: ListProps) {
  const shown = circuitsShown(state, choice, energiesOf(today, state.circuits));
  const labels = labelsOf(state);
  const more: ScheduleMore = {
    energyOf: (circuit) => <EnergyText today={today} circuit={circuit} />,
    hrefOf: (id) => addressOf({ ...choice, open: id }),
    namesBus: choice.sort !== 'panel',
  };
  const rest = { panel: state, labels, more };
  if (shown.length === 0) {
    return (
      <p>
        {words.none}{' '}
        <a class="button" href="#circuits">
          {words.everything}
        </a>
      </p>
    );
  }
  if (choice.sort !== 'panel') {
    const caption = words.captionSorted(words.sorts[choice.sort]);
    return (
      <article class="bus bus-mixed">
        <Schedule caption={caption} circuits={shown} {...rest} />
      </article>
    );
  }
  return (
    <>
      {state.buses.map(({ id, label, legs }) => {
        const circuits = shown.filter(({ bus }) => bus === id);
        return circuits.length === 0 ? null : (
          <article class="bus" data-live={liveOf(legs)} key={id}>
            <h3>{label}</h3>
            {legs.some(({ live }) => live !== 'live') && (
              <WhyDead id={id} label={label} asks={texts.whyDead.noVoltage} />
            )}
            <Schedule caption={texts.schedule.caption(label)} circuits={circuits} {...rest} />
          </article>
        );
      })}
    </>
  );
}

/** Brings the focus back to where a circuit was opened from. */
function useReturn(open: string | null): void {
  const before = useRef(open);
  useEffect(() => {
    if (open === null && before.current !== null) {
      document.getElementById(`open-${before.current}`)?.focus();
    }
    before.current = open;
  }, [open]);
}

export function CircuitsView() {
  const at = route.value;
  const choice = readChoice(at.view === 'circuits' ? at.query : '');
  const state = panel.value;
  const { answer: today, problem } = useToday();
  useReturn(choice.open);
  const choose = (next: CircuitChoice) => replaceRoute({ view: 'circuits', query: queryOf(next) });
  const opened = state?.circuits.find(({ id }) => id === choice.open);
  return (
    <section class="buses" aria-labelledby="circuits-heading">
      <h2 id="circuits-heading">{words.heading}</h2>
      {state === null ? (
        <p class="soft">{texts.waiting}</p>
      ) : (
        <>
          {opened !== undefined && (
            <CircuitDetail
              circuit={opened}
              panel={state}
              labels={labelsOf(state)}
              today={today}
              closeHref={addressOf({ ...choice, open: null })}
            />
          )}
          <CircuitFilter panel={state} choice={choice} choose={choose} />
          <List state={state} choice={choice} today={today} />
        </>
      )}
      {problem !== null && problem !== '' && (
        <p class="soft legend">{words.energyUnknown(problem)}</p>
      )}
      <p class="soft legend">{words.energyNote}</p>
      <p class="soft legend">{texts.known.legend}</p>
      <p class="soft legend">{texts.schedule.legend}</p>
    </section>
  );
}
