/**
 * What panelward asks an open marine data server for: exactly the paths of the boat file.
 *
 * Words (positions, switches) are asked for at every change, with a least interval of nothing: its
 * default is 200 ms by the published schema, and servers are known to drop, not delay, what comes
 * inside it, so that the last change would be lost.
 * Numbers are asked for at a fixed period, where the newest value of each period is kept.
 */
/* oxlint-disable typescript/no-unsafe-type-assertion -- paths and contexts are branded texts, and the brand exists in types only */
import type { Context, Path, SubscribeMessage, SubscriptionOptions } from '@signalk/server-api';
import type { PlannedPoint } from './point-plan.ts';

const SHORTEST_PERIOD_MS = 200;
const LONGEST_PERIOD_MS = 1_000;

export function subscribeMessage(
  byPath: ReadonlyMap<string, readonly PlannedPoint[]>,
): SubscribeMessage {
  return {
    context: 'vessels.self' as Context,
    subscribe: [...byPath].map(([path, points]) => subscribeTo(path, points)),
  };
}

function subscribeTo(path: string, points: readonly PlannedPoint[]): SubscriptionOptions {
  const row = { path: path as Path, format: 'delta' } as const;
  if (points.some(({ words }) => words !== null)) {
    return { ...row, policy: 'instant', minPeriod: 0 };
  }
  const expectedMs = Math.min(...points.map(({ point }) => point.expectedEveryMs));
  const period = Math.min(LONGEST_PERIOD_MS, Math.max(SHORTEST_PERIOD_MS, expectedMs));
  return { ...row, policy: 'fixed', period };
}
