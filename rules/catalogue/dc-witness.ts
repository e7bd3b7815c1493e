/**
 * What the DC side says of the shore supply, when the AC sensors cannot: a bank that was carried by
 * its charger and begins to discharge at the very moment the AC sensors fall silent has lost its
 * charger with them. It is a witness, not a measurement, and says nothing where nothing is certain.
 */
import * as z from 'zod';
import type { Battery, Boat, PartId } from '../boat/boat.ts';
import type { BatteryState, PanelState } from '../panel/panel-state.ts';
import { chargersOn } from './shore-inlets.ts';
import type { RuleContext } from './rule.ts';

const bankSchema = z.object({
  /** Since when it does not discharge, and since when it does; one of them is null. */
  carriedSinceMs: z.number().nullable(),
  turnedAtMs: z.number().nullable(),
  /** It had been carried for a while before it turned. */
  wasCarried: z.boolean(),
  /** Volts while it was carried. */
  carriedVolts: z.number().nullable(),
});

export const banksSchema = z.record(z.string(), bankSchema);

export type Banks = z.infer<typeof banksSchema>;
type Bank = z.infer<typeof bankSchema>;

/** Carried for less than this, the bank proves nothing by discharging. */
const CARRIED_LEAST_MS = 60_000;

function noteBank(bank: Bank, state: BatteryState, boat: Boat, nowMs: number): void {
  const amps = state.amps.value;
  if (amps === null) return;
  if (amps >= -boat.limits.bankDischargeAmps) {
    bank.carriedSinceMs ??= nowMs;
    bank.turnedAtMs = null;
    bank.carriedVolts = state.volts.value ?? bank.carriedVolts;
    return;
  }
  if (bank.turnedAtMs !== null) return;
  bank.turnedAtMs = nowMs - (state.amps.ageMs ?? 0);
  bank.wasCarried =
    bank.carriedSinceMs !== null && bank.turnedAtMs - bank.carriedSinceMs >= CARRIED_LEAST_MS;
  bank.carriedSinceMs = null;
}

/** Takes in what the banks do at this instant. */
export function noteBanks(banks: Banks, { boat, panel, nowMs }: RuleContext): void {
  for (const state of panel.batteries) {
    const bank = (banks[state.id] ??= {
      carriedSinceMs: null,
      turnedAtMs: null,
      wasCarried: false,
      carriedVolts: null,
    });
    noteBank(bank, state, boat, nowMs);
  }
}

export interface Witness {
  /** `on`: something charges the bank that only AC can. `gone`: every bank turned to discharge. */
  says: 'on' | 'gone' | 'nothing';
  /** When the last bank turned; null unless `gone`. */
  turnedAtMs: number | null;
  /** Volts have fallen clearly below what they were while it was carried. */
  hasFallen: boolean;
  /** Banks that it rests on. */
  banks: PartId[];
}

const NOTHING: Witness = { says: 'nothing', turnedAtMs: null, hasFallen: false, banks: [] };

/** Fall that tells a bank without charger from one on float: 0.5 V of 12 V. Common practice. */
const FALL_RATIO = 0.5 / 12;

/** Whether another source than AC may charge the bank at this instant. */
function mayChargeOtherwise(boat: Boat, panel: PanelState, bank: PartId): boolean {
  return boat.sources.some((source) => {
    if (source.system !== 'dc' || source.battery !== bank) return false;
    const amps = panel.sources.find((own) => own.id === source.id)?.legs[0]?.amps.value ?? null;
    return amps === null || amps > boat.limits.drawingAmps;
  });
}

/** What the banks behind the chargers on `buses` say. */
export function witnessOf({ boat, panel }: RuleContext, banks: Banks, buses: PartId[]): Witness {
  const charged = new Set(chargersOn(boat, buses).map((own) => own.charges));
  const states = panel.batteries.filter((own) => charged.has(own.id));
  if (states.length === 0) return NOTHING;
  const ids = states.map((own) => own.id);
  const isCharged = states.some(
    ({ id, amps }) =>
      (amps.value ?? 0) > boat.limits.bankDischargeAmps && !mayChargeOtherwise(boat, panel, id),
  );
  if (isCharged) return { ...NOTHING, says: 'on', banks: ids };
  const known = states.flatMap((state) => {
    const bank = banks[state.id];
    return state.amps.value === null || !bank ? [] : [{ state, bank }];
  });
  const haveTurned = known.every(({ bank }) => bank.turnedAtMs !== null && bank.wasCarried);
  if (known.length === 0 || !haveTurned) return NOTHING;
  return {
    says: 'gone',
    turnedAtMs: Math.max(...known.map(({ bank }) => bank.turnedAtMs ?? 0)),
    hasFallen: known.every(({ state, bank }) => hasFallen(boat.batteries, state, bank)),
    banks: ids,
  };
}

function hasFallen(batteries: readonly Battery[], state: BatteryState, bank: Bank): boolean {
  const nominal = batteries.find((own) => own.id === state.id)?.volts;
  if (state.volts.value === null || bank.carriedVolts === null || nominal === undefined) {
    return false;
  }
  return state.volts.value <= bank.carriedVolts - FALL_RATIO * nominal;
}
