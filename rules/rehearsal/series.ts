/**
 * Readings written as a short text: `12.6x5` five readings, `12.6-0.1x20` a ramp of twenty that
 * falls by 0.1 each, `_x5` five silences, `BOWx3` a word three times, `121x*` on to the end.
 */

/** One step of a series: a number, a word, or null for silence. */
export type Step = number | string | null;

export interface Series {
  steps: Step[];
  /** What goes on for ever after the last step; absent where the series just ends in silence. */
  rest?: Step;
}

const TERM = /^(?<value>.+?)(?:x(?<times>\d+|\*))?$/;
const RAMP = /^(?<start>-?\d+(?:\.\d+)?)(?<slope>[+-]\d+(?:\.\d+)?)$/;
const NUMBER = /^-?\d+(?:\.\d+)?$/;
const WORD = /^[A-Za-z][\w .-]*$/;

/** Longest series that makes sense: a week of seconds. */
const MOST_STEPS = 604_800;

function valuesOf(text: string, times: number): Step[] | null {
  if (text === '_') return Array.from({ length: times }, () => null);
  if (NUMBER.test(text)) return Array.from({ length: times }, () => Number(text));
  const ramp = RAMP.exec(text)?.groups;
  if (ramp) {
    const start = Number(ramp['start']);
    const slope = Number(ramp['slope']);
    return Array.from({ length: times }, (_, i) => start + slope * i);
  }
  if (WORD.test(text)) return Array.from({ length: times }, () => text);
  return null;
}

/** Reads a series; a problem says which term is wrong and what was expected. */
export function readSeries(text: string): Series | { problem: string } {
  const steps: Step[] = [];
  const terms = text.trim().split(/\s+/).filter(Boolean);
  for (const [i, term] of terms.entries()) {
    const groups = TERM.exec(term)?.groups;
    const value = groups?.['value'] ?? '';
    const times = groups?.['times'];
    if (times === '*' && i < terms.length - 1) {
      return { problem: `"${term}" goes on for ever, so nothing may follow it` };
    }
    const values = valuesOf(value.replaceAll('~', ' '), times === '*' ? 1 : Number(times ?? 1));
    if (!values) {
      return {
        problem: `"${term}" is no term of a series; expected such as 12.6x5, 12.6-0.1x20, _x5, BOWx3 or 121x*`,
      };
    }
    if (steps.length + values.length > MOST_STEPS) {
      return { problem: `the series is longer than ${MOST_STEPS} steps` };
    }
    if (times === '*') return { steps, rest: values[0] ?? null };
    steps.push(...values);
  }
  return { steps };
}

/** The step at `index`; null (silence) after the end. */
export function stepAt(series: Series, index: number): Step {
  return index < series.steps.length ? (series.steps[index] ?? null) : (series.rest ?? null);
}
