/**
 * An API with a desk, seen from the boat's network: the requests come through a proxy of this
 * computer, which says from where.
 */
import { START_MS as DESK_START_MS, mannedDesk, PASSWORD } from '../access/fixtures.ts';
import type { AtDesk } from '../access/fixtures.ts';
import type { ApiOptions } from '../../../daemon/api/api.ts';
import type { ApiAccess } from '../../../daemon/api/visitors.ts';
import { type Answered, ask, post, type Started, started } from './fixtures.ts';

export const FROM_NETWORK = { 'x-forwarded-for': '192.0.2.44' };
export const BY_PAGE = { 'x-requested-by': 'panelward' };
export { DESK_START_MS };

export interface Guarded extends Started {
  at: AtDesk;
}

export async function guarded(
  access: Partial<ApiAccess> = {},
  options: Partial<ApiOptions> = {},
  at?: AtDesk,
): Promise<Guarded> {
  const own = at ?? (await mannedDesk());
  const all = await started({
    access: {
      desk: own.desk,
      loopbackRole: 'crew',
      isGuestOpen: false,
      isOnNetwork: true,
      ...access,
    },
    ...options,
  });
  return { ...all, at: own };
}

/** The `Cookie` header of an answer that sets one. */
export function cookieOf(answered: Answered): string {
  const set = answered.headers['set-cookie']?.[0] ?? '';
  return set.split(';')[0] ?? '';
}

export async function cookieFor(
  { api }: Started,
  name: string,
  headers: Record<string, string> = FROM_NETWORK,
): Promise<string> {
  const answered = await post(api, '/api/v1/sign-in', { name, password: PASSWORD }, headers);
  if (answered.status !== 200) throw new Error(answered.text);
  return cookieOf(answered);
}

/** Headers of the page of somebody who is signed in, on the network. */
export async function pageOf(all: Started, name: string): Promise<Record<string, string>> {
  return { ...FROM_NETWORK, ...BY_PAGE, cookie: await cookieFor(all, name) };
}

export { ask, post };
