/** Arithmetic on measured times. */

/** The value below which a share `at` (0..1) of the values lies. */
export function quantile(values: readonly number[], at: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(at * sorted.length))] ?? 0;
}
