/**
 * What a loose or open neutral does to the voltages of a 120/240 V boat: the lighter loaded leg
 * rises, the other falls, while the voltage across both legs hardly moves. In an ordinary sag both
 * legs fall together. Two legs that happen to carry the same load hide the fault.
 *
 * Circuit theory (Kirchhoff), solved in phasors; checked against a circuit simulator.
 */
import { determinant, replaceColumn, type Matrix3, type Vector3 } from './complex-equations.ts';
import { isNotNegative } from './numbers.ts';
import {
  dividedBy,
  isFinitePhasor,
  magnitude,
  minus,
  phasor,
  plus,
  times,
  type Phasor,
} from './phasor.ts';

/** Two sources in series with their middle earthed ashore, loads on board. All impedances in ohms. */
export interface SplitPhaseCircuit {
  /** Each leg's source to neutral, RMS, without load; the second one already turned round. */
  sourceVolts: readonly [Phasor, Phasor];
  /** Between each source and the panel; may be zero. */
  sourceOhms: readonly [Phasor, Phasor];
  /** Between the middle of the sources and the panel's neutral bar; may be zero. */
  neutralOhms: Phasor | 'open';
  /** All loads of each leg together; null for none. */
  loadOhms: readonly [Phasor | null, Phasor | null];
  /** All loads across both legs together; null for none. */
  acrossOhms: Phasor | null;
}

/** RMS values at the panel. */
export interface SplitPhaseVoltages {
  legVolts: [number, number];
  lineVolts: number;
  legAmps: [number, number];
  neutralAmps: number;
  /** How far the neutral bar has moved from the middle of the sources. */
  neutralShiftVolts: number;
}

const ZERO = phasor(0);
const ONE = phasor(1);

/**
 * Voltages and currents of a split-phase circuit. Null where they are not defined: an open neutral
 * with no load on either leg, a load of zero ohms, or a number that is not finite.
 */
export function splitPhaseVoltages(circuit: SplitPhaseCircuit): SplitPhaseVoltages | null {
  const y1 = admittance(circuit.loadOhms[0]);
  const y2 = admittance(circuit.loadOhms[1]);
  const across = admittance(circuit.acrossOhms);
  const nodes = panelVolts(circuit, y1, y2, across);
  if (nodes === null) return null;
  const [line1, line2, neutral] = nodes;
  const leg1 = minus(line1, neutral);
  const leg2 = minus(neutral, line2);
  const line = minus(line1, line2);
  const acrossAmps = times(line, across);
  const load1 = times(leg1, y1);
  const load2 = times(leg2, y2);
  return {
    legVolts: [magnitude(leg1), magnitude(leg2)],
    lineVolts: magnitude(line),
    legAmps: [magnitude(plus(load1, acrossAmps)), magnitude(plus(load2, acrossAmps))],
    neutralAmps: magnitude(minus(load1, load2)),
    neutralShiftVolts: magnitude(neutral),
  };
}

/** Zero for no load; not finite for a dead short, which the solution then refuses. */
function admittance(ohms: Phasor | null): Phasor {
  return ohms === null ? ZERO : dividedBy(ONE, ohms);
}

/**
 * Voltages of leg 1, leg 2 and the neutral bar against the middle of the sources, by Cramer's rule.
 * Written in impedances on the source side and admittances on the load side, so that a perfect
 * cable and an absent load need no special case.
 */
function panelVolts(
  circuit: SplitPhaseCircuit,
  y1: Phasor,
  y2: Phasor,
  across: Phasor,
): Vector3 | null {
  const [z1, z2] = circuit.sourceOhms;
  const [e1, e2] = circuit.sourceVolts;
  const negative = (a: Phasor): Phasor => minus(ZERO, a);
  const one = [plus(ONE, times(z1, plus(y1, across))), negative(times(z1, across))] as const;
  const two = [negative(times(z2, across)), plus(ONE, times(z2, plus(y2, across)))] as const;
  const isOpen = circuit.neutralOhms === 'open';
  const zn = circuit.neutralOhms === 'open' ? ONE : circuit.neutralOhms;
  const own = times(zn, plus(y1, y2));
  const matrix: Matrix3 = [
    [...one, negative(times(z1, y1))],
    [...two, negative(times(z2, y2))],
    [negative(times(zn, y1)), negative(times(zn, y2)), isOpen ? own : plus(ONE, own)],
  ];
  const right: Vector3 = [e1, negative(e2), ZERO];
  const bottom = determinant(matrix);
  const solve = (column: 0 | 1 | 2): Phasor =>
    dividedBy(determinant(replaceColumn(matrix, column, right)), bottom);
  const solved: Vector3 = [solve(0), solve(1), solve(2)];
  return solved.every(isFinitePhasor) ? solved : null;
}

/**
 * Estimate in ohms of the neutral's resistance from RMS readings at the panel: half the difference
 * of the leg voltages over the difference of the leg currents. It includes the source's own
 * resistance and takes all loads as resistive, so it serves to see a trend.
 *
 * Null: leg currents less than `ampsApartMin` apart, or bad input. Negative means that something
 * else holds the legs apart.
 */
export function neutralOhmsEstimate(
  legVolts: readonly [number, number],
  legAmps: readonly [number, number],
  ampsApartMin = 2,
): number | null {
  if (![...legVolts, ...legAmps].every(isNotNegative) || !(ampsApartMin > 0)) return null;
  const ampsApart = legAmps[0] - legAmps[1];
  return Math.abs(ampsApart) < ampsApartMin ? null : (legVolts[1] - legVolts[0]) / 2 / ampsApart;
}
