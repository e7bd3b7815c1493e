/** What every part came to since midnight, asked for now and then. */
import type { SurveyAnswer } from '../daemon/api/contract.ts';
import { askSurvey } from './api.ts';
import { useAsked, type Asked } from './asking.ts';
import { boatNowMs } from './live.ts';
import { dayOf, startOf } from './models/calendar.ts';
import { ownOffsetAt } from './models/local-input.ts';

const AGAIN_MS = 60_000;
const PATIENCE_MS = 50_000;

/** The survey of the local day so far; asked again each minute. */
export function useToday(): Asked<SurveyAnswer> {
  const hasTime = boatNowMs.value !== null;
  const question = async () => {
    const nowMs = boatNowMs.peek();
    if (nowMs === null) return { ok: false, problem: '' } as const;
    const fromMs = startOf(dayOf(nowMs, ownOffsetAt), ownOffsetAt);
    return askSurvey({ fromMs, toMs: nowMs }, AbortSignal.timeout(PATIENCE_MS));
  };
  return useAsked(question, [hasTime ? 1 : 0], AGAIN_MS);
}
