/**
 * Rules rehearsed as text: series of readings go through the very watch that runs live, and the
 * alerts that are open at given instants are compared with those expected. An empty list is an
 * assertion too.
 */
import { z } from 'zod';
import { MODES } from '../alerts/alert.ts';
import type { Act, Alert, Mode } from '../alerts/alert.ts';
import type { Boat } from '../boat/boat.ts';
import { createWatch } from '../watch.ts';
import { readSeries, stepAt } from './series.ts';
import type { Series } from './series.ts';

const seconds = z.number().min(0).max(604_800);

export const rehearsalSchema = z.strictObject({
  title: z.string().min(1),
  /** Seconds between two steps of every series. */
  stepSeconds: z.number().min(0.1).max(3600).default(1),
  /** Series by point. */
  readings: z.record(
    z.string(),
    // YAML takes a bare 0x60 for a number of sixteens.
    z.string({ error: 'expected a series in quotes, such as "12.6x5 0x60"' }),
  ),
  /** Instants at which the daemon is stopped and started anew with what it saved. */
  restartsAt: z.array(seconds).default([]),
  /** Instants at which everything open is acknowledged. */
  acknowledgesAt: z.array(seconds).default([]),
  /** Instants at which everything open is shelved, for so many seconds. */
  shelvesAt: z.array(z.strictObject({ at: seconds, forSeconds: seconds })).default([]),
  /** Instants at which somebody says that they have looked at whatever waits for it. */
  inspectsAt: z.array(seconds).default([]),
  /** What a person says that the boat is about, from then on. */
  modesAt: z.array(z.strictObject({ at: seconds, mode: z.enum(MODES) })).default([]),
  /**
   * Alerts open at an instant: `KEY priority`, and after it whichever is so of
   * `acknowledged`, `returned`, `latched`, `held`, `shelved`, `chattering`.
   */
  expect: z
    .array(z.strictObject({ at: seconds, alerts: z.array(z.string()) }))
    .min(1, 'expected at least one instant with its alerts'),
});

export type Rehearsal = z.infer<typeof rehearsalSchema>;

export interface Miss {
  atSeconds: number;
  expected: string[];
  found: string[];
}

/** One open alert as a rehearsal writes it: `overload.galley warning held`. */
export function alertWords(alert: Alert): string {
  const key = alert.id.replace(/\.\d+$/, '');
  const marks = [
    ...(alert.phase === 'unacknowledged' ? [] : [alert.phase]),
    ...(alert.isHeld ? ['held'] : []),
    ...(alert.shelved ? ['shelved'] : []),
    ...(alert.chattering ? ['chattering'] : []),
  ];
  return [key, alert.priority, ...marks].join(' ');
}

function seriesOf(boat: Boat, rehearsal: Rehearsal): Map<string, Series> | { problems: string[] } {
  const problems: string[] = [];
  const found = new Map<string, Series>();
  for (const [id, text] of Object.entries(rehearsal.readings)) {
    const series = readSeries(text);
    if (!boat.points.has(id)) problems.push(`readings: the boat has no point "${id}"`);
    else if ('problem' in series) problems.push(`readings of ${id}: ${series.problem}`);
    else found.set(id, series);
  }
  return problems.length > 0 ? { problems } : found;
}

/** Time at which every rehearsal starts; any other would do. */
const START_MS = 1_700_000_000_000;

/** Work in progress needs an end, within a day. */
const endOf = (mode: Mode, atMs: number): number | null =>
  mode === 'work in progress' ? atMs + 24 * 3_600_000 : null;

/** What somebody does about everything open, in this step. */
function actsDue(
  { acknowledgesAt, shelvesAt, inspectsAt }: Rehearsal,
  isDue: (instants: readonly number[], sinceMs: number) => boolean,
  sinceMs: number,
  atMs: number,
): Act[] {
  return [
    ...(isDue(acknowledgesAt, sinceMs) ? [{ type: 'acknowledge' as const }] : []),
    ...shelvesAt
      .filter(({ at }) => isDue([at], sinceMs))
      .map(({ forSeconds }) => ({
        type: 'shelve' as const,
        untilMs: atMs + forSeconds * 1000,
      })),
    ...(isDue(inspectsAt, sinceMs) ? [{ type: 'inspect' as const }] : []),
  ];
}

/** Plays the rehearsal on `boat`. Problems are mistakes in the text; misses are what came otherwise. */
export function rehearse(
  boat: Boat,
  rehearsal: Rehearsal,
): { misses: Miss[] } | { problems: string[] } {
  const series = seriesOf(boat, rehearsal);
  if ('problems' in series) return series;
  const stepMs = rehearsal.stepSeconds * 1000;
  const lastMs = Math.max(...rehearsal.expect.map((own) => own.at * 1000));
  const isDue = (instants: readonly number[], atMs: number): boolean =>
    instants.some((at) => at * 1000 >= atMs && at * 1000 < atMs + stepMs);
  const misses: Miss[] = [];
  let watch = createWatch(boat);
  for (let index = 0; index * stepMs <= lastMs; index++) {
    const sinceMs = index * stepMs;
    const atMs = START_MS + sinceMs;
    if (isDue(rehearsal.restartsAt, sinceMs)) watch = createWatch(boat, watch.save(atMs));
    for (const { at, mode } of rehearsal.modesAt) {
      if (isDue([at], sinceMs)) watch.setMode(mode, endOf(mode, atMs), 'rehearsal', atMs);
    }
    for (const [pointId, own] of series) {
      const value = stepAt(own, index);
      if (value !== null) watch.take({ pointId, value, atMs });
    }
    watch.evaluate(atMs);
    for (const act of actsDue(rehearsal, isDue, sinceMs, atMs)) {
      // What is refused, such as to inspect what stands, changes nothing and shows in what is found.
      for (const { id } of watch.openAlerts()) watch.act(id, act, 'rehearsal', atMs);
    }
    for (const { at, alerts } of rehearsal.expect) {
      if (at * 1000 < sinceMs || at * 1000 >= sinceMs + stepMs) continue;
      const found = watch.openAlerts().map(alertWords).sort();
      const expected = [...alerts].sort();
      if (found.join('\n') !== expected.join('\n')) {
        misses.push({ atSeconds: at, expected, found });
      }
    }
  }
  return { misses };
}
