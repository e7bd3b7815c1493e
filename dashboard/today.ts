/** What every part came to since midnight, asked for now and then. */
import type { SurveyAnswer } from '../daemon/api/contract.ts';
import { askSurvey } from './api.ts';
import { useAsked, type Asked } from './asking.ts';
import { boatNowMs } from './live.ts';
import { dayOf, startOf } from './models/calendar.ts';
import { ownOffsetAt } from './models/local-input.ts';

const AGAIN_MS = 60_000;

/** The survey of the local day so far; asked again each minute. */
export function useToday(): Asked<SurveyAnswer> {
  const hasTime = boatNowMs.value !== null;
  const question = async () => {
    const nowMs = boatNowMs.peek();
    if (nowMs === null) return { ok: false, problem: '' } as const;
    return askSurvey(startOf(dayOf(nowMs, ownOffsetAt), ownOffsetAt), nowMs);
  };
  return useAsked(question, [hasTime ? 1 : 0], AGAIN_MS);
}
