/** A hook for views that ask the boat for something: the newest answer, or why there is none. */
import { useEffect, useRef, useState } from 'preact/hooks';
import type { Answer } from './api.ts';

export interface Asked<T> {
  /** The newest answer; stays while a later question fails. */
  answer: T | null;
  /** Why the newest question was not answered. */
  problem: string | null;
  again: () => void;
}

/** Asks when the view appears, whenever one of `causes` changes, and on `again`. */
export function useAsked<T>(
  question: () => Promise<Answer<T>>,
  causes: readonly (string | number | undefined)[],
  everyMs?: number,
): Asked<T> {
  const [answer, setAnswer] = useState<T | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const newest = useRef(0);

  const ask = async () => {
    newest.current += 1;
    const turn = newest.current;
    const said = await question();
    // An older question that is answered late must not overwrite a newer answer.
    if (turn !== newest.current) return;
    setProblem(said.ok ? null : said.problem);
    if (said.ok) setAnswer(said.answer);
  };
  const again = () => void ask();

  useEffect(() => {
    again();
    const timer = everyMs === undefined ? undefined : setInterval(again, everyMs);
    return () => {
      clearInterval(timer);
      newest.current += 1;
    };
  }, [...causes]);

  return { answer, problem, again };
}
