/** What is wrong with a boat file, and where. Problems are values: reading a boat never throws. */

export type Severity = 'error' | 'warning';

export interface Problem {
  /** An error refuses the file; a warning lets it pass and wants to be looked at. */
  severity: Severity;
  file: string;
  /** Counted from 1. */
  line: number;
  /** Counted from 1, in UTF-16 code units as editors do. */
  column: number;
  /** What was expected, what was found, and the nearest valid name where there is one. */
  message: string;
}

/** One line for a person: `file:line:col: message`, and `warning: ` before a warning's message. */
export function formatProblem(problem: Problem): string {
  const place = `${problem.file}:${problem.line}:${problem.column}`;
  const severity = problem.severity === 'warning' ? 'warning: ' : '';
  return `${place}: ${severity}${problem.message}`;
}

/** More than anybody reads; what is beyond is counted in a last line, not lost silently. */
const MOST_PROBLEMS = 1000;

/** The same problems by place in the file, each once, errors before warnings of the same place. */
export function inOrder(problems: readonly Problem[]): Problem[] {
  const byText = new Map(problems.map((problem) => [formatProblem(problem), problem]));
  const sorted = [...byText.values()].sort(
    (a, b) =>
      a.line - b.line ||
      a.column - b.column ||
      a.severity.localeCompare(b.severity) ||
      a.message.localeCompare(b.message),
  );
  const last = sorted[MOST_PROBLEMS - 1];
  if (last === undefined || sorted.length === MOST_PROBLEMS) return sorted;
  const left = sorted.slice(MOST_PROBLEMS - 1);
  const severity = left.some((problem) => problem.severity === 'error') ? 'error' : 'warning';
  const message = `${left.length} more problems from here on are not listed`;
  return [...sorted.slice(0, MOST_PROBLEMS - 1), { ...last, severity, message }];
}
