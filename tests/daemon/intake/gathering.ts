/** What intake tests share: a place that gathers what comes out, and waiting for something real. */
import { onTestFinished } from 'vitest';
import type { IntakeLog } from '../../../daemon/intake/intake-log.ts';
import type { Reading, Silence } from '../../../rules/index.ts';

export interface Gathered {
  inputs: (Reading | Silence)[];
  log: IntakeLog;
  lines: string[];
  onReading: (input: Reading | Silence) => void;
  /** The readings of one point, oldest first; silences as null. */
  of(pointId: string): (number | string | null)[];
}

export function gather(): Gathered {
  const inputs: (Reading | Silence)[] = [];
  const lines: string[] = [];
  return {
    inputs,
    lines,
    log: { info: (text) => lines.push(text), warn: (text) => lines.push(text) },
    onReading: (input) => inputs.push(input),
    of: (pointId) =>
      inputs
        .filter((input) => input.pointId === pointId)
        .map((input) => ('isSilent' in input ? null : input.value)),
  };
}

/** Waits for something that another process or socket does; fails with `what` when it does not. */
export async function until(what: string, isSo: () => boolean, mostMs = 20_000): Promise<void> {
  const endAtMs = performance.now() + mostMs;
  while (!isSo()) {
    if (performance.now() > endAtMs) throw new Error(`waited in vain for: ${what}`);
    await new Promise((resolve) => setTimeout(resolve, 5));
  }
}

/** Stops something when the test is over, also when it failed. */
export function stopAfterwards(stop: () => Promise<void> | void): void {
  onTestFinished(async () => {
    await stop();
  });
}

/** A result that must not be a problem. */
export function started<T extends object>(result: T | { problem: string }): T {
  if ('problem' in result) throw new Error(result.problem);
  return result;
}
