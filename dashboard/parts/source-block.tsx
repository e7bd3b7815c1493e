/** One source: whether voltage is seen, what it feeds, how full it is. */
import type { SourceState } from '../../daemon/api/contract.ts';
import { isAtRest, liveOf, sourceText } from '../models/feeding.ts';
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
      <KnownValue
        known={watts}
        unit="kW"
        decimals={2}
        scale={0.001}
        rating={wattsRated === null ? null : wattsRated / 1000}
      />
      {system === 'ac' && hertz.evidence !== 'unknown' && (
        <KnownValue known={hertz} unit="Hz" decimals={1} />
      )}
    </p>
  );
}

/** A source at rest in one line: every number is there, and nothing is drawn that would say load. */
function AtRest({ legs }: Pick<SourceState, 'legs'>) {
  return (
    <p class="facts soft">
      {legs.map((leg) => (
        <span key={leg.leg}>
          {leg.leg} <KnownValue known={leg.volts} unit="V" decimals={0} />,{' '}
          <KnownValue known={leg.amps} unit="A" decimals={1} />
        </span>
      ))}
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
      <p class="state">{sourceText(source, labels)}</p>
      {isAtRest(source) ? (
        <AtRest legs={legs} />
      ) : (
        <>
          <LegTable label={label} system={system} legs={legs} />
          <Power source={source} />
        </>
      )}
      <Why because={because} label={label} />
    </article>
  );
}
