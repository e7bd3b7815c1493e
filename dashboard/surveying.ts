/** Asks the boat what everything came to over a time, which may take it a while. */
import { useEffect, useRef, useState } from 'preact/hooks';
import type { SurveyAnswer } from '../daemon/api/contract.ts';
import { askSurvey } from './api.ts';
import type { Stretch } from './models/stretch.ts';

export interface Surveying {
  answer: SurveyAnswer | null;
  problem: string | null;
  /** Real time since the question, ms; null: nothing is under way. */
  waitedMs: number | null;
  ask: (stretch: Stretch) => void;
}

const TICK_MS = 1000;

/** One question at a time: a newer one ends the older. Stops with the part that uses it. */
export function useSurvey(): Surveying {
  const [answer, setAnswer] = useState<SurveyAnswer | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const [waitedMs, setWaitedMs] = useState<number | null>(null);
  const underWay = useRef<AbortController | null>(null);

  const work = async (stretch: Stretch, mine: AbortController) => {
    const startedAt = performance.now();
    setAnswer(null);
    setProblem(null);
    setWaitedMs(0);
    const ticking = setInterval(() => setWaitedMs(performance.now() - startedAt), TICK_MS);
    const said = await askSurvey(stretch, mine.signal);
    clearInterval(ticking);
    if (underWay.current !== mine) return;
    setWaitedMs(null);
    if (said.ok) setAnswer(said.answer);
    else setProblem(said.problem);
  };
  const stop = () => {
    underWay.current?.abort();
    underWay.current = null;
  };
  useEffect(() => stop, []);

  return {
    answer,
    problem,
    waitedMs,
    ask: (stretch) => {
      stop();
      const mine = new AbortController();
      underWay.current = mine;
      void work(stretch, mine);
    },
  };
}
