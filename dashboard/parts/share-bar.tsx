/** A load held against its rating: a bar with the rating marked, and the share in per cent. */
import type { Known } from '../../daemon/api/contract.ts';
import { barShare, fullnessOf } from '../models/load.ts';
import { texts } from '../texts.ts';
import { KnownValue } from './known-value.tsx';

export interface ShareBarProps {
  /** 0..1 and beyond. */
  ratio: Known;
  /** False where the boat file gives no rating: then there is nothing to hold the load against. */
  isRated: boolean;
}

export function ShareBar({ ratio, isRated }: ShareBarProps) {
  if (!isRated) return <span class="share-none">{texts.known.noRating}</span>;
  if (ratio.value === null) return <KnownValue known={ratio} unit="%" decimals={0} scale={100} />;
  const fullness = fullnessOf(ratio.value);
  return (
    <span class="share" data-fullness={fullness}>
      <span class="share-track" aria-hidden="true">
        <span class="share-fill" style={{ '--share': String(barShare(ratio.value)) }} />
      </span>
      <span class="share-text">
        <KnownValue known={ratio} unit="%" decimals={0} scale={100} />
        {fullness === 'over' && <strong class="share-over"> {texts.known.over}</strong>}
      </span>
    </span>
  );
}
