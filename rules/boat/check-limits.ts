/** Limits must leave room between the two of a pair, the defaults of those not given included. */
import type { Checked } from './draft.ts';
import { LIMITS } from './limits.ts';
import type { LimitName } from './limits.ts';

/** Each `lower` must be less than its `upper`; `or equal` where equal ones still make sense. */
const PAIRS: readonly { lower: LimitName; upper: LimitName; orEqual?: true; why: string }[] = [
  { lower: 'deadRatio', upper: 'liveRatio', why: 'or a leg would be live and dead at once' },
  {
    lower: 'liveRatio',
    upper: 'inBandLowRatio',
    orEqual: true,
    why: 'or good supply would not count as live',
  },
  {
    lower: 'inBandLowRatio',
    upper: 'inBandHighRatio',
    why: 'or no voltage would be good supply',
  },
  {
    lower: 'overloadRatio',
    upper: 'overloadHighRatio',
    why: 'or the alarm would come before the warning',
  },
  {
    lower: 'overloadDeadbandRatio',
    upper: 'overloadRatio',
    why: 'or an overload would never clear',
  },
  {
    lower: 'staleSeconds',
    upper: 'sensorSilentSeconds',
    orEqual: true,
    why: 'or a sensor would be silent before its reading is stale',
  },
  {
    lower: 'staleSeconds',
    upper: 'allSilentSeconds',
    orEqual: true,
    why: 'or all would be silent before their readings are stale',
  },
];

export function checkLimits({ draft, say, lineOf }: Checked): void {
  const given = draft.limits ?? {};
  const has = (name: LimitName): boolean => given[name] !== undefined;
  for (const { lower, upper, orEqual, why } of PAIRS) {
    if (!has(lower) && !has(upper)) continue;
    const low = given[lower] ?? LIMITS[lower].default;
    const high = given[upper] ?? LIMITS[upper].default;
    if (low < high || (orEqual && low === high)) continue;
    const isLater =
      has(lower) && has(upper) && lineOf(['limits', lower]) > lineOf(['limits', upper]);
    // Said where the pair is completed; that is the only one given, or the later of the two.
    if (isLater || !has(upper)) {
      const words = `\`${lower}\` must be ${orEqual ? 'at most' : 'below'} \`${upper}\``;
      say.error(['limits', lower], `${words} (${high}), got ${low}, ${why}`);
    } else {
      const words = `\`${upper}\` must be ${orEqual ? 'at least' : 'above'} \`${lower}\``;
      say.error(['limits', upper], `${words} (${low}), got ${high}, ${why}`);
    }
  }
}
