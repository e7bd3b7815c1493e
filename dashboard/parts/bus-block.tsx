/** A bus: what feeds it, its legs, and the panel schedule of its circuits. */
import type { BusState, PanelState } from '../../daemon/api/contract.ts';
import { texts } from '../texts.ts';
import { fedByText, liveOf, liveText } from '../models/feeding.ts';
import { KnownValue } from './known-value.tsx';
import { LegTable } from './leg-table.tsx';
import { Schedule } from './schedule.tsx';
import { Why } from './why.tsx';
import { WhyDead } from './why-dead.tsx';

export interface BusBlockProps {
  bus: BusState;
  panel: PanelState;
  labels: ReadonlyMap<string, string>;
}

export function BusBlock({ bus, panel, labels }: BusBlockProps) {
  const circuits = panel.circuits.filter((circuit) => circuit.bus === bus.id);
  return (
    <article class="bus" data-live={liveOf(bus.legs)}>
      <h3>{bus.label}</h3>
      <p class="state">
        {fedByText(bus, labels)}
        {bus.fedByIsKnown && (
          <span class="soft"> ({texts.panel.evidence[bus.feedEvidence]})</span>
        )}. {liveText(bus.legs)}.{' '}
        <span class="bus-watts">
          {texts.panel.power} <KnownValue known={bus.watts} unit="kW" decimals={2} scale={0.001} />
        </span>
      </p>
      <LegTable
        label={bus.label}
        system={bus.system}
        legs={bus.legs}
        unmetered={bus.unmeteredAmps}
      />
      {bus.legs.some(({ live }) => live !== 'live') && (
        <WhyDead id={bus.id} label={bus.label} asks={texts.whyDead.noVoltage} />
      )}
      <Why because={bus.because} label={bus.label} />
      <Schedule
        caption={texts.schedule.caption(bus.label)}
        circuits={circuits}
        panel={panel}
        labels={labels}
      />
    </article>
  );
}
