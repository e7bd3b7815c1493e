/** One screen without figures, for somebody who has never been aboard. */
import type { PanelState } from '../../daemon/api/contract.ts';
import { isOld, openAlerts, panel } from '../live.ts';
import { inOrder } from '../models/alert-list.ts';
import { labelOf, labelsOf } from '../models/feeding.ts';
import { isUrgent, lengthOf, plainTitle, suppliesOf } from '../models/plain-words.ts';
import { texts } from '../texts.ts';

const words = texts.guest;
const NO_LABELS: ReadonlyMap<string, string> = new Map();

function Power({ state }: { state: PanelState }) {
  const said = (['ac', 'dc'] as const).flatMap((system) => {
    const supplies = suppliesOf(state, system);
    return supplies.length === 0 ? [] : [{ system, supplies }];
  });
  return (
    <dl class="guest-power">
      {said.map(({ system, supplies }) => (
        <div key={system}>
          <dt>{words[system]}</dt>
          <dd>{texts.list.and(supplies.map((supply) => words.supply[supply]))}</dd>
        </div>
      ))}
    </dl>
  );
}

function Wrong({ labels }: { labels: ReadonlyMap<string, string> }) {
  const open = openAlerts.value;
  if (isOld.value) return <p>{words.old}</p>;
  if (open === null) return <p>{words.notKnown}</p>;
  const alerts = inOrder(open.values());
  if (alerts.length === 0) return <p>{words.nothingWrong}</p>;
  const isNow = alerts.some((alert) => isUrgent(alert));
  const titles = alerts.map((alert) => ({
    id: alert.id,
    text: plainTitle(alert) ?? words.about(labelOf(labels, alert.subject.part)),
  }));
  return (
    <>
      <p>
        <strong>{isNow ? words.urgent : words.notUrgent}</strong> {words.touchNothing}
      </p>
      <ul>
        {titles.map(({ id, text }) => (
          <li key={id}>{text}</li>
        ))}
      </ul>
    </>
  );
}

function HowLong({ state }: { state: PanelState }) {
  const supplies = new Set(suppliesOf(state, 'ac'));
  return (
    <>
      {supplies.has('shore inlet') && <p>{words.fromShore}</p>}
      {supplies.has('generator') && <p>{words.fromGenerator}</p>}
      {state.batteries.map((battery) => (
        <p key={battery.id}>{words.battery(battery.label, words.length[lengthOf(battery)])}</p>
      ))}
    </>
  );
}

/** Only what this boat has is spoken of. */
function Steps({ state }: { state: PanelState }) {
  const { steps } = words;
  const has = (kind: string): boolean => state.sources.some((source) => source.kind === kind);
  const switches = [...state.selectors, ...state.mainSwitches].map(({ label }) => label);
  const pumps = state.circuits
    .filter(({ load, system }) => system === 'dc' && load === 'motor')
    .map(({ label }) => label);
  const said = [
    steps.stay,
    steps.fire,
    ...(has('generator') ? [steps.generator] : []),
    steps.tell,
    ...(has('shore inlet') ? [steps.dock] : []),
    ...(pumps.length > 0 ? [steps.water(texts.list.and(pumps))] : []),
    ...(switches.length > 0 ? [steps.asked(texts.list.and(switches))] : []),
  ];
  return (
    <ol class="guest-steps">
      {said.map((step) => (
        <li key={step}>{step}</li>
      ))}
    </ol>
  );
}

export function GuestView() {
  const state = panel.value;
  const labels = state === null ? NO_LABELS : labelsOf(state);
  return (
    <section class="guest" aria-labelledby="guest-heading">
      <h2 id="guest-heading">{words.heading}</h2>
      <div class="guest-answers">
        <div>
          <h3>{words.wrong}</h3>
          <Wrong labels={labels} />
        </div>
        <div>
          <h3>{words.power}</h3>
          {state === null ? <p>{texts.waiting}</p> : <Power state={state} />}
        </div>
        <div>
          <h3>{words.long}</h3>
          {state === null ? <p>{words.notKnown}</p> : <HowLong state={state} />}
        </div>
      </div>
      <div class="guest-dark">
        <h3>{words.dark}</h3>
        {state !== null && <Steps state={state} />}
        <div class="cautions">
          <h4>{words.cautions}</h4>
          <ul>
            {words.caution.map((caution) => (
              <li key={caution}>{caution}</li>
            ))}
          </ul>
        </div>
      </div>
    </section>
  );
}
