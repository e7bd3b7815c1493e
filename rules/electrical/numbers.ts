/** The tests that every function of this folder puts its arguments to; internal to the folder. */

export const isPositive = (value: number): boolean => Number.isFinite(value) && value > 0;

export const isNotNegative = (value: number): boolean => Number.isFinite(value) && value >= 0;

/** 0..1, both ends included. */
export const isRatio = (value: number): boolean => value >= 0 && value <= 1;
