/** Random split-phase panels, each as a circuit for our formulas and as a netlist for the simulator. */
import * as fc from 'fast-check';
import {
  phasor,
  seriesOhms,
  splitPhaseVoltages,
  type Phasor,
} from '../../rules/electrical/index.ts';
import { simulate } from './ngspice.ts';

interface Branch {
  ohms: number;
  henries: number;
}

export interface RandomPanel {
  source: [Branch, Branch];
  neutral: Branch | 'open';
  load: [Branch, Branch];
  across: Branch | null;
}

const between = (min: number, max: number): fc.Arbitrary<number> =>
  fc.double({ min, max, noNaN: true });

const branch = (ohmsMax: number, henriesMax: number): fc.Arbitrary<Branch> =>
  fc.record({ ohms: between(0.01, ohmsMax), henries: between(1e-6, henriesMax) });

const PANEL: fc.Arbitrary<RandomPanel> = fc.record({
  source: fc.tuple(branch(0.3, 5e-4), branch(0.3, 5e-4)),
  neutral: fc.oneof(branch(10, 5e-4), fc.constant('open' as const)),
  load: fc.tuple(branch(200, 0.1), branch(200, 0.1)),
  across: fc.option(branch(100, 0.1)),
});

export function randomCircuits(seed: number, count: number): RandomPanel[] {
  return fc.sample(PANEL, { seed, numRuns: count });
}

/** Solves all panels both ways and hands every pair of results to `compare`. */
export function compareWithSimulator(
  panels: readonly RandomPanel[],
  compare: (panel: number, what: string, ours: number, simulated: number) => void,
): void {
  const simulated = simulate(netlistOf(panels));
  for (const [k, panel] of panels.entries()) {
    const ours = solve(panel);
    compare(k, 'leg 1 volts', ours.legVolts[0], simulated.value(`vm(a${k},n${k})`));
    compare(k, 'leg 2 volts', ours.legVolts[1], simulated.value(`vm(n${k},b${k})`));
    compare(k, 'line volts', ours.lineVolts, simulated.value(`vm(a${k},b${k})`));
    compare(k, 'leg 1 amps', ours.legAmps[0], simulated.value(`mag(i(vone${k}))`));
    compare(k, 'leg 2 amps', ours.legAmps[1], simulated.value(`mag(i(vtwo${k}))`));
    compare(k, 'neutral amps', ours.neutralAmps, simulated.value(`mag(i(vneutral${k}))`));
  }
}

function solve(panel: RandomPanel): NonNullable<ReturnType<typeof splitPhaseVoltages>> {
  const solved = splitPhaseVoltages({
    sourceVolts: [phasor(120), phasor(120)],
    sourceOhms: [impedance(panel.source[0]), impedance(panel.source[1])],
    neutralOhms: panel.neutral === 'open' ? 'open' : impedance(panel.neutral),
    loadOhms: [impedance(panel.load[0]), impedance(panel.load[1])],
    acrossOhms: panel.across && impedance(panel.across),
  });
  if (solved === null) throw new Error(`no solution for ${JSON.stringify(panel)}`);
  return solved;
}

function impedance(branchOf: Branch): Phasor {
  const ohms = seriesOhms(branchOf.ohms, branchOf.henries, 60);
  if (ohms === null) throw new Error(`no impedance for ${JSON.stringify(branchOf)}`);
  return ohms;
}

function netlistOf(panels: readonly RandomPanel[]): string {
  const circuits = panels.flatMap((panel, k) => [
    `Vone${k} e${k} 0 AC 120`,
    `Vtwo${k} 0 f${k} AC 120`,
    ...series(`s${k}`, `e${k}`, `a${k}`, panel.source[0]),
    ...series(`t${k}`, `f${k}`, `b${k}`, panel.source[1]),
    ...series(`u${k}`, `a${k}`, `n${k}`, panel.load[0]),
    ...series(`v${k}`, `n${k}`, `b${k}`, panel.load[1]),
    ...(panel.across ? series(`w${k}`, `a${k}`, `b${k}`, panel.across) : []),
    ...(panel.neutral === 'open'
      ? [`Rz${k} n${k} j${k} 1e9`]
      : series(`z${k}`, `n${k}`, `j${k}`, panel.neutral)),
    `Vneutral${k} j${k} 0 AC 0`,
  ]);
  const prints = panels.flatMap((_, k) => [
    `print vm(a${k},n${k}) vm(n${k},b${k}) vm(a${k},b${k})`,
    `print mag(i(vone${k})) mag(i(vtwo${k})) mag(i(vneutral${k}))`,
  ]);
  const control = ['.control', 'set numdgt=9', 'ac lin 1 60 60', ...prints, 'quit 0', '.endc'];
  return ['Random split-phase panels', ...circuits, ...control, '.end', ''].join('\n');
}

function series(name: string, from: string, to: string, { ohms, henries }: Branch): string[] {
  return [`R${name} ${from} m${name} ${ohms}`, `L${name} m${name} ${to} ${henries}`];
}
