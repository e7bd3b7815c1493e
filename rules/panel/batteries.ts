/**
 * What is remembered of every bank over time, and what follows from it: the counted state of
 * charge where no sensor tells it, the usual drain, and the hours left.
 */
import { z } from 'zod';
import type { Battery, Boat, PartId } from '../boat/boat.ts';
import { chemistryLimits } from '../boat/chemistry-limits.ts';
import {
  bankCapacitySchema,
  freshCapacity,
  learnedCapacity,
  noteCapacity,
  noteUnseen,
} from './bank-capacity.ts';
import type { LearnedCapacity } from './bank-capacity.ts';
import { forecastHours } from './battery-forecast.ts';
import { chargeCountSchema, countDoubt, countOn, freshCount } from './charge-count.ts';
import { drainPatternSchema, freshPattern, learnDrain, recentDrainAmps } from './drain-pattern.ts';
import { UNKNOWN } from './latest.ts';
import type { BatteryState, BusState, HoursLeft, Known, PanelState } from './panel-state.ts';

const bankSchema = z.object({
  count: chargeCountSchema,
  pattern: drainPatternSchema,
  capacity: bankCapacitySchema.default(freshCapacity),
  seenMs: z.number().nullable(),
});

type Bank = z.infer<typeof bankSchema>;

/** Plain JSON, kept over a restart. */
export type SavedBatteries = Record<PartId, Bank>;

/** Whether a charger on the AC panel is at work for a bank. */
type Charging = 'powered' | 'unpowered' | 'unknown';

/** What a sensor of the state of charge may be off (common practice). */
const SENSOR_DOUBT = 0.05;
const FORECAST_EVERY_MS = 60_000;
/** What a learned capacity may be off, in state of charge. */
const LEARNED_DOUBT = 0.08;
const NO_BANK = (): Bank => ({
  count: freshCount(),
  pattern: freshPattern(),
  capacity: freshCapacity(),
  seenMs: null,
});

interface Forecast {
  atMs: number;
  basis: string;
  hoursLeft: HoursLeft | null;
}

export class Batteries {
  readonly #boat: Boat;
  readonly #banks = new Map<PartId, Bank>();
  readonly #forecasts = new Map<PartId, Forecast>();

  /** `saved` is what `save` gave, or anything at all: what does not fit is begun anew. */
  constructor(boat: Boat, saved: unknown) {
    this.#boat = boat;
    const known = z.record(z.string(), z.unknown()).safeParse(saved).data ?? {};
    for (const { id } of boat.batteries) {
      this.#banks.set(id, bankSchema.safeParse(known[id]).data ?? NO_BANK());
    }
  }

  /** The batteries of `panel` with what is remembered of them, `passedMs` after the last look. */
  look(panel: Omit<PanelState, 'mode'>, nowMs: number, passedMs: number): BatteryState[] {
    return panel.batteries.map((state) => {
      const battery = this.#boat.batteries.find((own) => own.id === state.id);
      const bank = this.#banks.get(state.id);
      return battery && bank ? this.#state(battery, bank, state, panel, nowMs, passedMs) : state;
    });
  }

  save(): SavedBatteries {
    return Object.fromEntries(this.#banks);
  }

  #state(
    battery: Battery,
    bank: Bank,
    state: BatteryState,
    panel: Omit<PanelState, 'mode'>,
    nowMs: number,
    passedMs: number,
  ): BatteryState {
    // Time in which nothing was running was not watched either.
    if (passedMs === 0 && bank.seenMs !== null) {
      const unseenMs = Math.max(0, nowMs - bank.seenMs);
      bank.count.unseenMs += unseenMs;
      noteUnseen(bank.capacity, unseenMs);
    }
    bank.seenMs = nowMs;
    const readings = {
      volts: state.volts.value,
      amps: state.amps.value,
      stateOfCharge: state.stateOfCharge.value,
    };
    const learned = learnedCapacity(bank.capacity, battery);
    countOn(bank.count, this.#boat, battery, readings, passedMs, nowMs, learned?.ampHours);
    noteCapacity(bank.capacity, this.#boat, battery, readings, bank.count, passedMs);
    const charging = chargingOf(this.#boat, battery, panel);
    const drainAmps = drainOf(this.#boat, battery, state, charging, panel);
    if (drainAmps !== null) learnDrain(bank.pattern, drainAmps, passedMs, nowMs);
    const { known, doubt } = this.#charge(battery, bank, state, nowMs);
    const outlook = this.#outlook(battery, bank, { known, doubt, charging, state, learned }, nowMs);
    return {
      ...state,
      stateOfCharge: known,
      usualDrainAmps: recentDrainAmps(bank.pattern),
      drainAmps,
      floorRatio: chemistryLimits(this.#boat, battery).floorRatio,
      lastFullMs: bank.count.lastFullMs,
      watchedSinceFullMs: bank.count.watchedMs,
      learnedCapacity: learned,
      ...outlook,
    };
  }

  /** Measured where there is a fresh sensor, else counted since it last was full. */
  #charge(
    battery: Battery,
    { count }: Bank,
    { stateOfCharge, amps }: BatteryState,
    nowMs: number,
  ): { known: Known; doubt: number } {
    if (stateOfCharge.value !== null) {
      // A counter that did not say full when the bank was full has drifted by so much at least.
      return { known: stateOfCharge, doubt: SENSOR_DOUBT + count.sensorMiss };
    }
    const doubt = countDoubt(count, this.#boat, battery, nowMs);
    // The count goes on from the last known current; while that is silent it is of the past.
    if (doubt === null || count.charge === null || amps.value === null) {
      return { known: stateOfCharge.evidence === 'unknown' ? stateOfCharge : UNKNOWN, doubt: 1 };
    }
    return { known: { value: count.charge, evidence: 'inferred', ageMs: amps.ageMs }, doubt };
  }

  #outlook(
    battery: Battery,
    bank: Bank,
    now: {
      known: Known;
      doubt: number;
      charging: Charging;
      state: BatteryState;
      learned: LearnedCapacity | null;
    },
    nowMs: number,
  ): Pick<BatteryState, 'hoursLeft' | 'hoursLeftBecause'> {
    const { known, doubt, charging, state, learned } = now;
    const none = (because: string) => ({ hoursLeft: null, hoursLeftBecause: because });
    if (known.value === null) {
      return none(
        'Its state of charge is not known: no fresh sensor tells it, and no full charge that is recent enough to count from.',
      );
    }
    if (charging === 'powered' && (state.amps.value ?? 0) >= -this.#boat.limits.drawingAmps) {
      return none('It is being charged.');
    }
    const usual = recentDrainAmps(bank.pattern);
    if (usual === null) return none('Too little of its use has been seen yet.');
    const { floorRatio } = chemistryLimits(this.#boat, battery);
    const isMeasured = known.evidence === 'measured';
    const held = { ...battery, ampHours: learned?.ampHours ?? battery.ampHours };
    const left = isMeasured ? leftOfHeld(bank, known.value, battery, held) : known.value;
    const wholeDoubt = doubt + (learned === null ? 0 : LEARNED_DOUBT);
    const hoursLeft = this.#forecast(held, bank, left, wholeDoubt, floorRatio, nowMs);
    const source = isMeasured ? sensorWords(bank) : ', counted since it was full';
    const charge = `from ${percent(left)} now${source} down to ${percent(floorRatio)}${heldWords(learned)}`;
    return {
      hoursLeft,
      hoursLeftBecause: `At the pattern of the last hours, ${usual.toFixed(1)} A on average, ${charge}.`,
    };
  }

  /** Worked out once a minute, and at once when what it rests on is of another kind. */
  #forecast(
    battery: Battery,
    { pattern }: Bank,
    charge: number,
    doubt: number,
    floorRatio: number,
    nowMs: number,
  ): HoursLeft | null {
    const before = this.#forecasts.get(battery.id);
    const basis = charge <= floorRatio ? 'below' : 'above';
    if (before && before.basis === basis && Math.abs(nowMs - before.atMs) < FORECAST_EVERY_MS) {
      return before.hoursLeft;
    }
    const hoursLeft = forecastHours(battery, pattern, { charge, doubt }, floorRatio, nowMs);
    this.#forecasts.set(battery.id, { atMs: nowMs, basis, hoursLeft });
    return hoursLeft;
  }
}

const sensorWords = ({ count }: Bank): string =>
  count.sensorMiss > SENSOR_DOUBT
    ? ` by a sensor that said ${percent(1 - count.sensorMiss)} when it was full`
    : '';

const heldWords = (learned: LearnedCapacity | null): string =>
  learned === null
    ? ''
    : ` of the ${Math.round(learned.ampHours)} Ah that it held on its last ${learned.cycles} deep discharges`;

/** What a sensor that counts down from the rating says, as a share of what the bank really holds. */
function leftOfHeld(
  { capacity }: Bank,
  said: number,
  rated: Pick<Battery, 'ampHours'>,
  held: Pick<Battery, 'ampHours'>,
): number {
  if (!capacity.isSensorRated) return said;
  return Math.max(0, 1 - ((1 - said) * rated.ampHours) / held.ampHours);
}

const percent = (ratio: number): string => `${Math.round(ratio * 100)} %`;

function chargingOf(
  boat: Boat,
  battery: Battery,
  { circuits }: Pick<PanelState, 'circuits'>,
): Charging {
  const chargers = boat.circuits.filter((own) => own.charges === battery.id);
  const states = circuits.filter((state) => chargers.some((own) => own.id === state.id));
  if (states.some((state) => state.activity === 'drawing')) return 'powered';
  const isOff = states.every((state) => state.live === 'dead' || state.activity === 'not drawing');
  return isOff ? 'unpowered' : 'unknown';
}

/**
 * Amperes that the boat takes from the bank, or would if nothing charged it from the AC panel; null
 * where that cannot be told. Without a charger at work it is the bank's own current, solar and
 * alternator included; with one, the current of the DC buses that the bank feeds.
 */
function drainOf(
  boat: Boat,
  battery: Battery,
  { amps }: BatteryState,
  charging: Charging,
  { buses }: Pick<PanelState, 'buses'>,
): number | null {
  if (amps.value !== null && charging === 'unpowered') return -amps.value;
  const loads = dcLoadAmps(boat, battery, buses);
  if (loads !== null) return loads;
  return amps.value !== null && amps.value < 0 ? -amps.value : null;
}

/** Amperes of the DC buses that the bank is known to feed; null where any is not known, or none is. */
export function dcLoadAmps(
  boat: Boat,
  battery: Battery,
  buses: readonly BusState[],
): number | null {
  const own = buses.filter((bus) => bus.fedBy === battery.id && isTopmost(boat, bus));
  const known = own.map((bus) => bus.legs[0]?.amps.value ?? null);
  if (known.length === 0 || known.includes(null)) return null;
  return known.reduce<number>((total, value) => total + (value ?? 0), 0);
}

/** Not a bus behind another one, whose current is in that one's already. */
function isTopmost(boat: Boat, bus: BusState): boolean {
  let above = boat.parts.get(bus.from);
  while (above?.part === 'main switch') above = boat.parts.get(above.from);
  return above?.part !== 'bus';
}
