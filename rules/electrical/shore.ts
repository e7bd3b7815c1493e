/**
 * Shore supply: what an inlet may carry, which band its voltage is in, and how a marina's wiring is
 * counted. The bands are for steady voltage; a motor's start is an event, see `voltage-events.ts`.
 */
import type { AcSystem, ShoreInlet } from '../boat/boat.ts';
import { continuousAmpsMax } from './breakers.ts';
import { isNotNegative, isPositive } from './numbers.ts';

export interface ShoreCapacity {
  voltAmps: number;
  /** Per leg, for three hours and more. */
  continuousAmps: number;
  /** All legs together. */
  continuousVoltAmps: number;
}

/**
 * What an inlet carries. `continuousRatio` above 0 to 1: 0.8 by NEC 210.20(A), 1 behind an IEC
 * breaker. Null on bad input.
 */
export function shoreCapacity(
  inlet: Pick<ShoreInlet, 'ampsRated' | 'legs'>,
  legVolts: number,
  continuousRatio = 0.8,
): ShoreCapacity | null {
  const continuousAmps = continuousAmpsMax(inlet.ampsRated, continuousRatio);
  if (continuousAmps === null || !isPositive(legVolts) || inlet.legs.length === 0) return null;
  const volts = legVolts * inlet.legs.length;
  return {
    voltAmps: inlet.ampsRated * volts,
    continuousAmps,
    continuousVoltAmps: continuousAmps * volts,
  };
}

/** `service`: at the pedestal; `utilization`: at the load; EN 50160: at the supply terminals. */
export type VoltageStandard = 'C84.1 service' | 'C84.1 utilization' | 'EN 50160';

/** `good`: range A, or the 95 % band of EN 50160. `tolerable`: range B, or -15 % of EN 50160. */
export type VoltageBand = 'too low' | 'tolerable' | 'good' | 'too high';

/** Shares of nominal volts. */
interface BandLimits {
  tolerableMin: number;
  goodMin: number;
  goodMax: number;
  tolerableMax: number;
}

/**
 * ANSI C84.1 on a base of 120 V: range A service 114..126, utilization from 108 (older editions
 * 110); range B service 110..127, utilization from 104, partly from memory. EN 50160 on 230 V:
 * 207..253, always above 195.5, from memory.
 */
const BANDS: Readonly<Record<VoltageStandard, BandLimits>> = {
  'C84.1 service': {
    tolerableMin: 110 / 120,
    goodMin: 114 / 120,
    goodMax: 126 / 120,
    tolerableMax: 127 / 120,
  },
  'C84.1 utilization': {
    tolerableMin: 104 / 120,
    goodMin: 108 / 120,
    goodMax: 126 / 120,
    tolerableMax: 127 / 120,
  },
  'EN 50160': { tolerableMin: 0.85, goodMin: 0.9, goodMax: 1.1, tolerableMax: 1.1 },
};

/** The standard for the loads on board of a system: EN 50160 at 200 V and more, else C84.1. */
export function voltageStandardOf(ac: AcSystem): VoltageStandard {
  return ac.volts >= 200 ? 'EN 50160' : 'C84.1 utilization';
}

/** Band of a steady RMS voltage; the limits themselves still belong to the better band. Null on bad input. */
export function voltageBandOf(
  volts: number,
  nominalVolts: number,
  standard: VoltageStandard,
): VoltageBand | null {
  if (!isNotNegative(volts) || !isPositive(nominalVolts)) return null;
  const limits = BANDS[standard];
  // 114 V is 0.95 of 120 V only up to rounding.
  const tiny = 1e-9;
  const ratio = volts / nominalVolts;
  if (ratio < limits.tolerableMin - tiny) return 'too low';
  if (ratio > limits.tolerableMax + tiny) return 'too high';
  return ratio < limits.goodMin - tiny || ratio > limits.goodMax + tiny ? 'tolerable' : 'good';
}

/**
 * NEMA MG 1 voltage unbalance of three phases: largest deviation from the mean over the mean, 0 and
 * up. Null for anything but three voltages (two legs have none, see `legDifferenceRatio`), or a
 * mean that is not above 0.
 */
export function unbalanceRatio(volts: readonly number[]): number | null {
  if (volts.length !== 3 || !volts.every(isNotNegative)) return null;
  const mean = volts.reduce((sum, value) => sum + value, 0) / 3;
  if (!isPositive(mean)) return null;
  return Math.max(...volts.map((value) => Math.abs(value - mean))) / mean;
}

/** Leg 1 over leg 2, as a share of nominal leg volts; signed. Null on bad input. Not in a standard. */
export function legDifferenceRatio(
  leg1Volts: number,
  leg2Volts: number,
  nominalVolts: number,
): number | null {
  if (!isNotNegative(leg1Volts) || !isNotNegative(leg2Volts)) return null;
  return isPositive(nominalVolts) ? (leg1Volts - leg2Volts) / nominalVolts : null;
}

/** Receptacles from, share of their summed rating. NEC table 555.6, partly from memory. */
const DEMAND: readonly (readonly [from: number, factor: number])[] = [
  [71, 0.3],
  [51, 0.4],
  [41, 0.5],
  [31, 0.6],
  [15, 0.7],
  [9, 0.8],
  [5, 0.9],
  [1, 1],
];

/**
 * Share of the summed rating of so many shore receptacles that a marina's feeder is made for: why
 * the dock's voltage is low on a hot evening. Null for no whole number from 1 up.
 */
export function marinaDemandFactor(receptacles: number): number | null {
  if (!Number.isInteger(receptacles)) return null;
  return DEMAND.find(([from]) => receptacles >= from)?.[1] ?? null;
}
