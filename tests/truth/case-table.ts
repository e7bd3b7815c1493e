/** All seeds of all cases as rows of a plain table. */
import { playCase } from './play-case.ts';
import type { PlayedCase } from './play-case.ts';
import type { TruthCase } from './truth-case.ts';

export interface CaseRow {
  id: string;
  what: string;
  seeds: number;
  /** Runs in which it was met; null: no rule of the catalogue can tell it yet. */
  met: number | null;
  medianSeconds: number | null;
  worstSeconds: number | null;
}

export interface CaseResult {
  id: string;
  title: string;
  rows: CaseRow[];
  /** Key, how often over all seeds, and the first place to look. */
  falseAlerts: { key: string; times: number; first: string }[];
}

export function playSeeds(own: TruthCase, seeds: readonly number[]): CaseResult {
  const runs = seeds.map((seed) => ({ seed, played: playCase(own, seed) }));
  const rows = own.must.map(({ what }, at) => rowOf(own, what, at, runs));
  return { id: own.id, title: own.title, rows, falseAlerts: falseAlertsOf(runs) };
}

type Run = { seed: number; played: PlayedCase };

function rowOf(own: TruthCase, what: string, at: number, runs: readonly Run[]): CaseRow {
  const outcomes = runs.flatMap(({ played }) => played.outcomes[at] ?? []);
  const canJudge = outcomes.every((outcome) => outcome.canJudge);
  const delays = outcomes
    .flatMap(({ outcome }) => outcome.delaySeconds ?? [])
    .sort((a, b) => a - b);
  return {
    id: own.id,
    what,
    seeds: runs.length,
    met: canJudge ? outcomes.filter(({ outcome }) => outcome.isMet).length : null,
    medianSeconds: delays[Math.floor(delays.length / 2)] ?? null,
    worstSeconds: delays.at(-1) ?? null,
  };
}

function falseAlertsOf(runs: readonly Run[]): CaseResult['falseAlerts'] {
  const found = new Map<string, { key: string; times: number; first: string }>();
  for (const { seed, played } of runs) {
    for (const { key, atSeconds, event } of played.falseAlerts) {
      const first = `seed ${seed} at ${atSeconds} s: ${event.alert.priority}, ${event.alert.title}`;
      const known = found.get(key) ?? { key, times: 0, first };
      known.times += 1;
      found.set(key, known);
    }
  }
  return [...found.values()].sort((a, b) => b.times - a.times);
}

/** One line a row; what failed is marked, so that the eye finds it. */
export function caseTable(results: readonly CaseResult[]): string {
  const lines = results.flatMap((result) => [
    `${result.id}  ${result.title}`,
    ...result.rows.map(rowText),
    ...result.falseAlerts.map(
      ({ key, times, first }) => `    FALSE  ${key}, ${times} times; ${first}`,
    ),
  ]);
  const rows = results.flatMap((result) => result.rows);
  const judged = rows.filter((row) => row.met !== null);
  const sound = judged.filter((row) => row.met === row.seeds).length;
  const falseTotal = results.flatMap((result) => result.falseAlerts);
  lines.push(
    `${results.length} cases: ${sound} of ${judged.length} expectations met in every seed, ` +
      `${rows.length - judged.length} without a rule yet, ` +
      `${falseTotal.reduce((sum, own) => sum + own.times, 0)} false alerts`,
  );
  return lines.join('\n');
}

function rowText({ what, seeds, met, medianSeconds, worstSeconds }: CaseRow): string {
  if (met === null) return `    ......  ${what}: no rule yet`;
  const mark = met === seeds ? '  ok  ' : 'FAILED';
  const delays =
    medianSeconds === null
      ? ''
      : `, median ${seconds(medianSeconds)}, worst ${seconds(worstSeconds ?? medianSeconds)}`;
  return `    ${mark}  ${what}: ${met} of ${seeds}${delays}`;
}

function seconds(value: number): string {
  if (value < 120) return `${value} s`;
  return value < 7200 ? `${(value / 60).toFixed(1)} min` : `${(value / 3600).toFixed(1)} h`;
}
