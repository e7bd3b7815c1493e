/** What every rule of the catalogue is made of, and the words that several of them share. */
import type { Mode } from '../alerts/alert.ts';
import type { Check } from '../alerts/check.ts';
import type { Boat, Circuit, LegName, PartId } from '../boat/boat.ts';
import type { HabitMemory } from '../panel/habit-memory.ts';
import { staleAfterMs } from '../panel/latest.ts';
import { byId, pointIdsOf } from '../panel/lookup.ts';
import type { Past } from '../panel/past.ts';
import type { CircuitState, Known, PanelState } from '../panel/panel-state.ts';
import type { SelfReport } from '../self-report.ts';

export interface RuleContext {
  boat: Boat;
  panel: PanelState;
  past: Readonly<Past>;
  /** Same as `panel.atMs`. */
  nowMs: number;
  /** Since the evaluation before; 0 at the first. */
  passedMs: number;
  mode: Mode;
  /** Keys of the alerts that stood after the evaluation before. */
  standing: ReadonlySet<string>;
  /** What panelward last said of its own health; absent: nothing yet. */
  self?: SelfReport;
}

/**
 * A rule looks at the panel state and returns one check for every subject it watches, every time:
 * a subject left out counts as gone from the boat file, and its alert is closed.
 */
export type Rule = (context: RuleContext) => Check[];

/** Cautions for whoever touches something. Common practice; local codes come first. */
export const CAUTIONS = {
  neverProvesDead:
    'No reading proves a circuit dead: until a competent person has tested it, treat every conductor as live.',
  electrician:
    'Work behind the panel belongs to a licensed electrician, and local codes come before this advice.',
  shorePlug:
    'Switch off the breaker on the dock before you touch the shore cord; leave a hot, wet or browned plug alone.',
  loadsOff: 'Switch heavy loads off before you turn a selector or a main switch.',
  generator:
    'A running generator makes carbon monoxide: see that its exhaust is clear of cabins and of other boats.',
  rotating: 'Wait until a motor stands still before you reach near it.',
  bilgeWater:
    'Water around wiring can be live: keep out of bilge water while anything aboard is powered, and expect a pump to start at any time.',
} as const;

export const label = (boat: Boat, id: PartId): string => boat.parts.get(id)?.label ?? id;

/** Leg in words, only where the boat has several. */
export const legWords = (leg: LegName, legs: readonly unknown[]): string =>
  legs.length > 1 ? ` on leg ${leg}` : '';

/** `12.4 A`; `unknown` where it is. Fixed decimals, so that numbers do not dance. */
export function amps(known: Known | number | null): string {
  const value = typeof known === 'object' ? (known?.value ?? null) : known;
  return value === null ? 'an unknown current' : `${value.toFixed(1)} A`;
}

export const percent = (ratio: number): string => `${Math.round(ratio * 100)} %`;

/** `40 s`, `12 min`, `3 h 40 min`, `5 days`; rounded, for a person. */
export function duration(ms: number): string {
  const seconds = Math.max(0, Math.round(ms / 1000));
  if (seconds < 100) return `${seconds} s`;
  const minutes = Math.round(seconds / 60);
  if (minutes < 100) return `${minutes} min`;
  if (minutes >= 2880) return `${Math.round(minutes / 1440)} days`;
  const rest = minutes % 60;
  return `${Math.floor(minutes / 60)} h${rest === 0 ? '' : ` ${rest} min`}`;
}

/** Amperes above which a circuit runs its load, not only idles: stated, else learned. */
export function runningAbove(boat: Boat, circuit: Circuit, state?: CircuitState): number {
  const running = circuit.ampsRunning ?? state?.habits.runningAmps ?? 0;
  return Math.max(circuit.drawingAmps, running * boat.limits.runningRatio);
}

/** Whether the circuit's load runs; null when its current is not known. */
export function isRunning(boat: Boat, circuit: Circuit, state: CircuitState): boolean | null {
  return state.amps.value === null ? null : state.amps.value > runningAbove(boat, circuit, state);
}

/** Measured now, or once: a sensor is there, even if it is silent. */
export const wasHeard = (known: Known): boolean =>
  known.value !== null || known.lastValue !== undefined;

/** State of one circuit. Found by its id at once, however many circuits there are. */
export const circuitState = (panel: PanelState, id: PartId): CircuitState | undefined =>
  byId(panel.circuits, id);

/** What a circuit usually does; undefined where it has never been read. */
export const habitOf = ({ past }: RuleContext, id: PartId): HabitMemory | undefined =>
  past.habits?.[id];

/** `C-4`, as ` (breaker C-4)`; empty where the boat file gives no place. */
export const placeWords = (circuit: Circuit): string =>
  circuit.position === undefined ? '' : ` (breaker ${circuit.position})`;

/** Points that measure any of the parts, for the chart beside an alert. */
export const pointsOf = (boat: Boat, ...parts: PartId[]): string[] =>
  parts.flatMap((part) => pointIdsOf(boat, part));

export { staleAfterMs };
