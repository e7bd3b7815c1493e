/** The whole boat: open alerts, sources, selectors, buses with their circuits, batteries. */
import type { PanelState } from '../../daemon/api/contract.ts';
import { panel } from '../live.ts';
import { labelsOf } from '../models/feeding.ts';
import { BatteryBlock } from '../parts/battery-block.tsx';
import { BusBlock } from '../parts/bus-block.tsx';
import { DeadBuses } from '../parts/dead-buses.tsx';
import { LoadPlanBlock } from '../parts/load-plan.tsx';
import { UnknownMark } from '../parts/mark.tsx';
import { OpenAlerts } from '../parts/open-alerts.tsx';
import { PutAwayCount } from '../parts/put-away.tsx';
import { SelectorBlock } from '../parts/selector-block.tsx';
import { SingleLine } from '../single-line/figure.tsx';
import { SourceBlock } from '../parts/source-block.tsx';
import { SwitchBlock } from '../parts/switch-block.tsx';
import { texts } from '../texts.ts';

const words = texts.panel;

function Contradictions({ contradictions }: Pick<PanelState, 'contradictions'>) {
  if (contradictions.length === 0) return null;
  return (
    <div class="contradiction">
      <p>
        <UnknownMark /> <strong>{words.contradiction}</strong>
      </p>
      <ul>
        {contradictions.flatMap(({ because, culprit }) => [
          ...because.map((why) => <li key={why}>{why}</li>),
          culprit !== null && (
            <li key={culprit.text} class="culprit">
              {culprit.text}
            </li>
          ),
        ])}
      </ul>
    </div>
  );
}

interface LivePanelProps {
  state: PanelState;
}

function Supply({ state }: LivePanelProps) {
  const labels = labelsOf(state);
  const { sources, selectors, mainSwitches, batteries } = state;
  return (
    <div class="supply">
      <section aria-labelledby="sources-heading">
        <h2 id="sources-heading">{words.sources}</h2>
        <div class="blocks">
          {sources.map((source) => (
            <SourceBlock key={source.id} source={source} labels={labels} />
          ))}
        </div>
      </section>
      {selectors.length + mainSwitches.length > 0 && (
        <section aria-labelledby="selectors-heading">
          <h2 id="selectors-heading">{words.selectors}</h2>
          <Contradictions contradictions={state.contradictions} />
          <div class="blocks">
            {selectors.map((selector) => (
              <SelectorBlock key={selector.id} selector={selector} labels={labels} />
            ))}
            {mainSwitches.map((mainSwitch) => (
              <SwitchBlock key={mainSwitch.id} mainSwitch={mainSwitch} labels={labels} />
            ))}
          </div>
        </section>
      )}
      {batteries.length > 0 && (
        <section aria-labelledby="batteries-heading">
          <h2 id="batteries-heading">{words.batteries}</h2>
          <div class="blocks">
            {batteries.map((battery) => (
              <BatteryBlock key={battery.id} battery={battery} />
            ))}
          </div>
        </section>
      )}
    </div>
  );
}

function Buses({ state }: LivePanelProps) {
  const labels = labelsOf(state);
  return (
    <section class="buses" aria-labelledby="buses-heading">
      <h2 id="buses-heading">{words.buses}</h2>
      {state.buses.map((bus) => (
        <BusBlock key={bus.id} bus={bus} panel={state} labels={labels} />
      ))}
      <p class="soft legend">{texts.known.legend}</p>
      <p class="soft legend">{texts.schedule.legend}</p>
    </section>
  );
}

export function NowView() {
  const state = panel.value;
  return (
    <>
      <OpenAlerts putAway={(places) => <PutAwayCount places={places} />} />
      {state === null ? (
        <p class="soft">{texts.waiting}</p>
      ) : (
        <>
          <DeadBuses buses={state.buses} />
          <div class="now-first">
            <LoadPlanBlock panel={state} />
            <SingleLine panel={state} />
          </div>
          <div class="panel">
            <Supply state={state} />
            <Buses state={state} />
          </div>
        </>
      )}
    </>
  );
}
