/** A program with a token reads metrics and health, and nothing else. */
import { expect, it } from 'vitest';
import { LEAST_ROLE } from '../../../daemon/api/route-roles.ts';
import { ask, BY_PAGE, FROM_NETWORK, guarded, pageOf } from './guarded.ts';

it('reads /metrics and /healthz from the network, and no other route', async () => {
  const all = await guarded();
  const token = all.at.desk.programs.add('scraper', 1);
  const headers = { ...FROM_NETWORK, ...BY_PAGE, authorization: `Bearer ${token}` };
  const allowed: string[] = [];
  for (const [route, least] of Object.entries(LEAST_ROLE)) {
    if (least === 'anybody' || route.startsWith('POST ')) continue;
    const path = route.replace('GET ', '').replace(/:\w+/, '1');
    if ((await ask(all.api, path, { headers })).status !== 401) allowed.push(path);
  }
  expect(allowed).toEqual(['/healthz', '/metrics']);
  const act = await ask(all.api, '/api/v1/mode', {
    method: 'POST',
    headers: { ...headers, 'content-type': 'application/json' },
    body: '{"mode":"away","by":"scraper"}',
  });
  expect(act.status).toBe(401);
  expect((await ask(all.api, '/metrics', { method: 'HEAD', headers })).status).toBe(200);
});

it.each([
  ['no token', () => ({})],
  ['another token', () => ({ authorization: `Bearer ${'A'.repeat(43)}` })],
  ['a token cut short', (token: string) => ({ authorization: `Bearer ${token.slice(1)}` })],
  ['a token as a password', (token: string) => ({ authorization: `Basic ${token}` })],
  ['a token as a cookie', (token: string) => ({ cookie: `panelward=${token}` })],
])('%s is nobody’s', async (_, headersWith) => {
  const all = await guarded();
  const headers = { ...FROM_NETWORK, ...headersWith(all.at.desk.programs.add('scraper', 1)) };
  expect((await ask(all.api, '/metrics', { headers })).status).toBe(401);
});

it('is refused from the moment its token is void; a session is no token', async () => {
  const all = await guarded();
  const token = all.at.desk.programs.add('scraper', 1);
  const headers = { ...FROM_NETWORK, authorization: `Bearer ${token}` };
  expect((await ask(all.api, '/metrics', { headers })).status).toBe(200);
  all.at.desk.programs.remove('scraper');
  expect((await ask(all.api, '/metrics', { headers })).status).toBe(401);
  const { cookie = '' } = await pageOf(all, 'Ann');
  const session = { ...FROM_NETWORK, authorization: `Bearer ${cookie.split('=')[1]}` };
  expect((await ask(all.api, '/metrics', { headers: session })).status).toBe(401);
});
