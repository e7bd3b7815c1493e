/** The words that the pump rules share, and what each of them looks at. */
import type { Evident } from '../alerts/alert.ts';
import type { Boat, Circuit } from '../boat/boat.ts';
import { median } from '../panel/habit-memory.ts';
import type { CircuitState } from '../panel/panel-state.ts';
import {
  DAY_MS,
  HOUR_MS,
  moves,
  startsSince,
  usualAmps,
  usualStartsPerDay,
} from './pump-strokes.ts';
import type { PumpMemory } from './pump-strokes.ts';
import type { RuleContext } from './rule.ts';

/** One pump at this instant. */
export interface Pump {
  circuit: Circuit;
  state: CircuitState;
  memory: PumpMemory;
}

export const isSilent = ({ state }: Pump): boolean => state.amps.value === null;

/** Starts of the last hour. */
export const startsInHour = ({ memory }: Pump, { nowMs }: RuleContext): number =>
  startsSince(memory, nowMs - HOUR_MS);

/** Starts of the last 24 hours. */
export const startsInDay = ({ memory }: Pump, { nowMs }: RuleContext): number =>
  startsSince(memory, nowMs - DAY_MS);

/** `9 times`, `once`. */
export const times = (count: number): string => (count === 1 ? 'once' : `${count} times`);

/** `22 s`, `4 min`, `6 h`, `9 days`. */
export function lengthWords(ms: number): string {
  if (ms < 90_000) return `${Math.round(ms / 1000)} s`;
  if (ms < 90 * 60_000) return `${Math.round(ms / 60_000)} min`;
  if (ms < 2 * DAY_MS) return `${Math.round(ms / HOUR_MS)} h`;
  return `${Math.round(ms / DAY_MS)} days`;
}

/** `usual is 1 in 6 h`, `usual is 5 a day`; says so where it is not known yet. */
export function usualWords(memory: PumpMemory, boat: Boat): string {
  const usual = usualStartsPerDay(memory, boat);
  if (usual === null) return 'its usual is not known yet';
  if (usual === 0) return 'usually it does not run';
  if (usual <= 12) return `usual is 1 in ${lengthWords(DAY_MS / usual)}`;
  return `usual is ${Math.round(usual)} a day`;
}

/** `Each run takes 22 s at 6.1 A (usual: 6.0 A).`, of the runs since `sinceMs`; empty without any. */
export function runWords({ memory, circuit }: Pump, sinceMs: number): string {
  const recent = memory.strokes.filter((stroke) => stroke.startMs > sinceMs);
  const lengthMs = median(recent.map((stroke) => stroke.ranMs / stroke.runs));
  if (lengthMs === null) return '';
  const drawn = median(recent.flatMap(({ amps }) => (amps === null ? [] : [amps])));
  const usual = usualAmps(memory, circuit);
  const usually = usual === null ? '' : ` (usual: ${usual.toFixed(1)} A)`;
  const at = drawn === null ? '' : ` at ${drawn.toFixed(1)} A${usually}`;
  return `Each run takes ${lengthWords(lengthMs)}${at}.`;
}

/** What its current says of the run it is in, as a whole sentence; empty where it says nothing. */
export function currentWords({ memory, circuit }: Pump, boat: Boat): string {
  const does = moves(memory, boat, circuit);
  const amps = memory.run?.amps;
  if (does === null || amps === null || amps === undefined) return '';
  const usual = usualAmps(memory, circuit) ?? memory.run?.highAmps ?? amps;
  const draws = `It draws ${amps.toFixed(1)} A where ${usual.toFixed(1)} A is usual`;
  if (does === 'jammed') return `${draws}: its impeller may be jammed.`;
  if (does === 'dry') return `${draws}: it is probably dry and moves air.`;
  return `${draws}: it seems to move water.`;
}

/** Its current against the share of the usual that would be too little or too much. */
export function currentEvidence({ memory, circuit, state }: Pump, ratio: number): Evident {
  const usual = usualAmps(memory, circuit);
  return {
    what: 'Current',
    value: state.amps.value,
    threshold: usual === null ? null : Number((usual * ratio).toFixed(2)),
    unit: 'A',
  };
}
