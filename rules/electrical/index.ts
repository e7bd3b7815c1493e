/**
 * Electrical arithmetic: pure functions, one subject a file. One convention holds for all of them:
 *
 * - `null` means "not defined here": an input that is not a finite number, lies outside the range
 *   its docstring names, or that the cited source says nothing about. Never NaN, never a throw.
 * - `RangeError` is for programming errors alone, such as handing over samples backwards in time.
 * - Arguments and results are in the units of their names; signs are those of `boat/signs.ts`.
 * - "From memory" and "common practice" in a docstring mean just that: check before you rely on it.
 *
 * The results inform. None of them proves that a circuit is safe or dead; local codes and a
 * licensed electrician come first.
 */
export * from './ac-power.ts';
export * from './batteries.ts';
export * from './breakers.ts';
export * from './conductors.ts';
export * from './energy.ts';
export * from './generator-classes.ts';
export * from './generator-fuel.ts';
export * from './generators.ts';
export * from './loads.ts';
export * from './neutral-fault.ts';
export * from './peukert.ts';
export { magnitude, phasor, polar, type Phasor } from './phasor.ts';
export * from './sampled-waves.ts';
export * from './shore.ts';
export * from './source-resistance.ts';
export * from './split-phase.ts';
export * from './thermal-memory.ts';
export * from './trip-time.ts';
export * from './voltage-drop.ts';
export * from './voltage-events.ts';
export * from './wire-geometry.ts';
