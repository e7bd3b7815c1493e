/**
 * A motor that cycles day and night, as what keeps something cold does. Told from its habits alone:
 * the boat file knows no such class of load.
 */
import type { Circuit } from '../boat/boat.ts';
import type { HabitMemory, HabitNormal } from '../panel/habit-memory.ts';

const DAYS_TO_LEARN = 3;
const STARTS_LEAST = 8;
const REST_MOST_MS = 4 * 3_600_000;
const DUTY_LEAST = 0.1;
const DUTY_MOST = 0.95;

/** Its normal, if by that it cycles steadily; null otherwise and until enough days are known. */
export function steadyCycle(circuit: Circuit, memory: HabitMemory | undefined): HabitNormal | null {
  const normal = memory?.normal;
  if (!mayCycle(circuit)) return null;
  if (!normal || normal.days < DAYS_TO_LEARN) return null;
  const cycles = normal.startsPerDay >= STARTS_LEAST && normal.longestRestMs <= REST_MOST_MS;
  const isSteady = normal.dutyRatio >= DUTY_LEAST && normal.dutyRatio <= DUTY_MOST;
  return cycles && isSteady ? normal : null;
}

/**
 * Whether the circuit could ever cycle steadily, by the boat file. What requires another circuit
 * works when people ask for it, an air conditioner, say; pumps have rules of their own.
 */
export const mayCycle = (circuit: Circuit): boolean =>
  circuit.load === 'motor' && circuit.duty === undefined && circuit.requires.length === 0;
