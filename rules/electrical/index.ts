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
export * from './breakers.ts';
export * from './conductors.ts';
export * from './wire-geometry.ts';
