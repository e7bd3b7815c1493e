/** One source: whether voltage is seen, what it feeds, how full it is. */
import type { SourceState } from '../../daemon/api/contract.ts';
import { withUnit } from '../format.ts';
import { feedsText, liveOf, liveText } from '../models/feeding.ts';
import { texts } from '../texts.ts';
import { KnownValue } from './known-value.tsx';
import { LegTable } from './leg-table.tsx';
import { Why } from './why.tsx';

export interface SourceBlockProps {
  source: SourceState;
  labels: ReadonlyMap<string, string>;
}

function Power({ source }: { source: SourceState }) {
  const { watts, wattsRated, hertz, system } = source;
  return (
    <p class="facts">
      <span>
        <KnownValue known={watts} unit="kW" decimals={2} scale={0.001} />
        {wattsRated !== null && (
          <span class="soft"> {texts.known.of(withUnit(wattsRated / 1000, 2, 'kW'))}</span>
        )}
      </span>
      {system === 'ac' && hertz.evidence !== 'unknown' && (
        <KnownValue known={hertz} unit="Hz" decimals={1} />
      )}
    </p>
  );
}

export function SourceBlock({ source, labels }: SourceBlockProps) {
  const { label, legs, because, system } = source;
  return (
    <article class="block" data-live={liveOf(legs)}>
      <h3>
        {label} <span class="kind">{texts.panel.kind[source.kind]}</span>
      </h3>
      <p class="state">
        {liveText(legs)}; {feedsText(source, labels)}.
      </p>
      <LegTable label={label} system={system} legs={legs} />
      <Power source={source} />
      <Why because={because} label={label} />
    </article>
  );
}
