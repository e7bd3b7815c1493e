/** Points as a query names them. */
import type { PointDescription } from './contract.ts';
import { RequestProblem } from './problem.ts';

/** In the order asked, each once. Throws what is wrong with the question. */
export function namedPoints(names: string, known: readonly PointDescription[]): PointDescription[] {
  const byId = new Map(known.map((point) => [point.id, point]));
  const ids = [...new Set(names.split(',').map((id) => id.trim()))];
  const unknown = ids.filter((id) => !byId.has(id));
  if (unknown.length > 0) {
    throw new RequestProblem(400, `No such point: ${quoted(unknown)}. See /api/v1/points.`);
  }
  return ids.flatMap((id) => byId.get(id) ?? []);
}

export function quoted(ids: readonly string[]): string {
  return ids.map((id) => `\`${id.replaceAll(/\p{Cc}/gu, '?').slice(0, 100)}\``).join(', ');
}
