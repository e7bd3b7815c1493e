/**
 * A dock of arithmetic: one source of constant volts a leg behind ohms, with the neighbours' swing,
 * flicker and a meter's noise on top. Legs stand opposite, so the neutral carries the difference.
 */
import { createWatch } from '../../../rules/index.ts';
import type { Alert, Boat, SavedWatch, Watch } from '../../../rules/index.ts';
import type { Random } from '../../../simulator/random.ts';
import { QUIET } from './shore-boat.ts';

export interface DockState {
  /** Volts behind the ohms, each leg. */
  openVolts: readonly [number, number];
  /** Hot wire of each leg, and the neutral. */
  legOhms: [number, number];
  neutralOhms: number;
  /** Amperes the boat takes on each leg. */
  amps: [number, number];
  /** Taken to be the same phase on both legs, behind one pair of wires: an adapter. */
  isOnePhase?: boolean;
}

/** Volts at the inlet, by Kirchhoff, for loads that draw constant current in phase. */
export function voltsAtInlet({ openVolts, legOhms, neutralOhms, amps, isOnePhase }: DockState) {
  const [i1, i2] = amps;
  const neutral = isOnePhase === true ? i1 + i2 : i1 - i2;
  const v1 = openVolts[0] - legOhms[0] * i1 - neutralOhms * neutral;
  const v2 =
    openVolts[1] - legOhms[1] * i2 - (isOnePhase === true ? 1 : -1) * neutralOhms * neutral;
  return [v1, v2] as const;
}

/** Steady readings of every point that a play does not set itself. */
const STEADY = Object.entries(QUIET).map(([id, text]) => [id, Number.parseFloat(text)] as const);

/** Plays readings second by second into the watch of a boat, and keeps what was told. */
export class Play {
  readonly raised: { key: string; priority: string; atMs: number; alert: Alert }[] = [];
  nowMs: number;
  #watch: Watch;
  readonly #boat: Boat;

  constructor(boat: Boat, startMs = 1_700_000_000_000) {
    this.#boat = boat;
    this.nowMs = startMs;
    this.#watch = createWatch(boat);
  }

  /** One second later; points that are null say nothing. */
  second(readings: Readonly<Record<string, number | null>>): void {
    this.nowMs += 1000;
    for (const [id, value] of STEADY) {
      const own = id in readings ? readings[id] : value;
      if (typeof own !== 'number') continue;
      // A live reading never stands still to the last digit.
      const hair = own === 0 ? 0 : 1e-6 * ((this.nowMs / 1000) % 1000);
      this.#watch.take({ pointId: id, value: own + hair, atMs: this.nowMs });
    }
    for (const event of this.#watch.evaluate(this.nowMs).alertEvents) {
      if (event.type !== 'raised' && event.type !== 'priority changed') continue;
      const key = event.alertId.replace(/\.\d+$/, '');
      const { alert } = event;
      this.raised.push({ key, priority: alert.priority, atMs: this.nowMs, alert });
    }
  }

  /** Nothing is heard and nothing judged for a while. */
  leap(ms: number): void {
    this.nowMs += ms;
  }

  restart(): void {
    const saved = JSON.parse(JSON.stringify(this.#watch.save(this.nowMs))) as SavedWatch;
    this.#watch = createWatch(this.#boat, saved);
  }

  /** A start at which nothing is left of what was saved; the record still holds the open alerts. */
  restartWithoutMemory(): void {
    const recorded = this.open;
    const lastSeq = Math.max(...recorded.map(({ id }) => Number(/\d+$/.exec(id)?.[0])), 1000);
    this.#watch = createWatch(this.#boat, null, lastSeq);
    this.#watch.recall(recorded, this.nowMs);
  }

  get open(): Alert[] {
    return this.#watch.openAlerts();
  }

  /** Keys and priorities of what was told, each once, in order; silences are left out. */
  get told(): string[] {
    const words = this.raised.map((own) => `${own.key} ${own.priority}`);
    return [...new Set(words)].filter((own) => !own.startsWith('sensor-silent'));
  }
}

/** Readings of the bow inlet for one state of the dock; noise in volts and amperes RMS. */
export function inletReadings(
  dock: DockState,
  random: Random,
  { volts, amps }: { volts: number; amps: number } = { volts: 0.1, amps: 0.03 },
): Record<string, number> {
  const at = voltsAtInlet(dock);
  const noisy = (value: number, deviation: number): number =>
    Math.max(0, value + deviation * random.gaussian());
  const v1 = noisy(at[0], volts);
  const v2 = noisy(at[1], volts);
  return {
    'bow-1': v1,
    'bow-2': v2,
    'bow-across': dock.isOnePhase === true ? 0 : v1 + v2,
    'panel-1': noisy(at[0] - 0.3, volts),
    'panel-2': noisy(at[1] - 0.3, volts),
    'bow-amps-1': noisy(dock.amps[0], amps),
    'bow-amps-2': noisy(dock.amps[1], amps),
  };
}
