/** Today's energy of a part, with how sure it is. Pure. */
import type { CircuitState, SurveyAnswer } from '../../daemon/api/contract.ts';
import { withUnit } from '../format.ts';
import { texts } from '../texts.ts';

export interface Energy {
  wattHours: number;
  /** Share of the time since midnight that was seen, 0..1. */
  coverage: number;
  text: string;
}

/** Below this share of the day it is said how much of it was seen. */
const MOSTLY_SEEN = 0.95;
const KILO = 1000;

/** Null where nothing of the part was read today, or nobody has said yet. */
export function energyOf(
  today: SurveyAnswer | null,
  { id, system }: Pick<CircuitState, 'id' | 'system'>,
): Energy | null {
  const part = today?.parts.find((own) => own.id === id);
  const total = part?.power.total ?? null;
  if (part === undefined || total === null) return null;
  const { coverage } = part.power;
  const amount =
    Math.abs(total) < KILO ? withUnit(total, 0, 'Wh') : withUnit(total / KILO, 2, 'kWh');
  // AC without measured watts is apparent power: no more than this was used.
  const isBound = part.basis !== 'measured watts' && system === 'ac' && total > 0;
  const bounded = isBound ? texts.circuits.upTo(amount) : amount;
  const seen = withUnit(coverage * 100, 0, '%');
  const text = coverage < MOSTLY_SEEN ? texts.circuits.inSeen(bounded, seen) : bounded;
  return { wattHours: total, coverage, text };
}
