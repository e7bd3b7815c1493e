/**
 * How long to wait before trying again: full jitter, so that a hundred boats whose provider was down do
 * not all call it in the same second. Common practice, described by Marc Brooker, "Exponential
 * Backoff And Jitter", AWS Architecture Blog, 2015.
 */
const BASE_MS = 5000;
const MINUTE_MS = 60_000;

/** `failures`: in a row, at least 1. `random`: in 0..1. */
export function backoffMs(failures: number, isUrgent: boolean, random: number): number {
  return Math.floor(random * Math.min(capMs(isUrgent), BASE_MS * 2 ** Math.min(failures, 30)));
}

/** Alarms and worse are tried every ten minutes at least. */
export function capMs(isUrgent: boolean): number {
  return (isUrgent ? 10 : 60) * MINUTE_MS;
}
