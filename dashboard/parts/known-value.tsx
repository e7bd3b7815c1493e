/** One number with its evidence: measured, inferred (≈), or a dash that says unknown. */
import type { Known } from '../../daemon/api/contract.ts';
import { ageText, DASH, withUnit } from '../format.ts';
import { texts } from '../texts.ts';

export interface KnownValueProps {
  known: Known;
  unit: string;
  decimals: number;
  /** From the base unit to the shown one. */
  scale?: number;
  /** What the value is held against, in the shown unit: `of 50 A`. */
  rating?: number | null;
  ratingDecimals?: number;
}

function Last({ known, unit, decimals, scale = 1 }: KnownValueProps) {
  if (known.lastValue === undefined) return null;
  const value = withUnit(known.lastValue * scale, decimals, unit);
  const said =
    known.ageMs === null ? texts.known.was(value) : texts.known.wasAgo(value, ageText(known.ageMs));
  return <span class="known-last">{said}</span>;
}

function Rating({ rating, ratingDecimals, decimals, unit }: KnownValueProps) {
  if (rating === undefined || rating === null) return null;
  const text = texts.known.of(withUnit(rating, ratingDecimals ?? decimals, unit));
  return <span class="known-rating"> {text}</span>;
}

/** A stale value greys out beside the dash with its age; it never stands in the place of a fresh one. */
export function KnownValue(props: KnownValueProps) {
  const { known, unit, decimals, scale = 1 } = props;
  if (known.value === null) {
    return (
      <span class="known" data-evidence="unknown">
        <span class="known-word">
          <span aria-hidden="true">{DASH} </span>
          {texts.known.unknown}
        </span>
        <Rating {...props} />
        <Last {...props} />
      </span>
    );
  }
  return (
    <span class="known" data-evidence={known.evidence}>
      {known.evidence === 'inferred' && <span class="for-ears">{texts.known.inferred} </span>}
      <span class="number">
        {known.evidence === 'inferred' && (
          <span aria-hidden="true">{texts.known.inferredSign} </span>
        )}
        {withUnit(known.value * scale, decimals, unit)}
      </span>
      <Rating {...props} />
    </span>
  );
}
