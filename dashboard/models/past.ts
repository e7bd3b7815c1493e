/** Pages of past alerts put together. Pure. */
import type { Alert } from '../../daemon/api/contract.ts';

/** The list with a further, overlapping page at its end, each alert once, and how many were new. */
export function withOlder(
  list: readonly Alert[],
  page: readonly Alert[],
): { list: Alert[]; added: number } {
  const known = new Set(list.map(({ id }) => id));
  const fresh = page.filter(({ id }) => !known.has(id));
  return { list: [...list, ...fresh], added: fresh.length };
}
