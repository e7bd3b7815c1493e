/**
 * Readings that stand still to the last digit. A live AC supply never does; a sensor that hangs and
 * goes on saying its last value does. A meter that prints whole volts does too, so a flat line is
 * no proof by itself.
 */
import * as z from 'zod';
import type { Boat, PointId } from '../boat/boat.ts';
import type { PanelState } from '../panel/panel-state.ts';
import { pointState } from './shore-inlets.ts';

const lineSchema = z.object({
  value: z.number(),
  /** First and newest reading of this value, and how many there were. */
  sinceMs: z.number(),
  lastMs: z.number(),
  readings: z.number(),
});

export const flatLinesSchema = z.record(z.string(), lineSchema);

export type FlatLines = z.infer<typeof flatLinesSchema>;

/** Takes in the newest readings of the given points. */
export function noteLines(
  lines: FlatLines,
  panel: PanelState,
  points: Iterable<PointId>,
  nowMs: number,
): void {
  for (const id of points) {
    const state = pointState(panel, id);
    if (state?.freshness !== 'fresh' || state.ageMs === null) continue;
    if (typeof state.value !== 'number') continue;
    const atMs = nowMs - state.ageMs;
    const line = lines[id];
    if (line?.value !== state.value) {
      lines[id] = { value: state.value, sinceMs: atMs, lastMs: atMs, readings: 1 };
    } else if (atMs > line.lastMs) {
      line.lastMs = atMs;
      line.readings += 1;
    }
  }
}

/** Since when the point has said the same thing; null where it has not for long enough. */
export function flatSinceMs(boat: Boat, lines: FlatLines, point: PointId): number | null {
  const line = lines[point];
  return line !== undefined && line.readings >= boat.limits.shoreFlatReadings ? line.sinceMs : null;
}
