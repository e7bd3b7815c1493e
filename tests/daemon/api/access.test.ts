/** Who may do what on the API: every route, every role. */
import fastify from 'fastify';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { z } from 'zod';
import { LEAST_ROLE, leastRoleOf, needsFreshness } from '../../../daemon/api/route-roles.ts';
import { addRoleGuard } from '../../../daemon/api/role-guard.ts';
import { LOCAL_ONLY } from '../../../daemon/api/visitors.ts';
import { isAtLeast, type Role } from '../../../daemon/roles.ts';
import { deskIn, PASSWORD } from '../access/fixtures.ts';
import { alertWith } from '../store/fixtures.ts';
import { ask, BY_PAGE, cookieFor, FROM_NETWORK, guarded, pageOf, post } from './guarded.ts';

const answerShape = z.object({
  error: z.object({ message: z.string(), needs: z.string().optional() }),
});
const errorOf = (text: string) => answerShape.parse(JSON.parse(text)).error;

/** A built page of one file. */
function pageFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-page-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  mkdirSync(join(folder, 'assets'));
  writeFileSync(join(folder, 'index.html'), '<!doctype html>');
  return folder;
}

/** A request to a route that is refused or answered before it matters what it says. */
const addressOf = (url: string): string =>
  url.replace(':id', 'nothing').replace(':number', '999').replace('/*', '/index.html');

const BODIES: Readonly<Record<string, unknown>> = {
  'POST /api/v1/sign-in': { name: 'nobody', password: 'nothing' },
};

describe('the table of least roles', () => {
  it('holds every route of the whole app, and no other', async () => {
    const { api } = await guarded({}, { pageFolder: pageFolder() });
    // The document holds all routes but the page; the server starts with none that is not in the table.
    const text = (await ask(api, '/openapi.json')).text;
    const { paths } = z
      .object({ paths: z.record(z.string(), z.record(z.string(), z.unknown())) })
      .parse(JSON.parse(text));
    const routes = Object.entries(paths).flatMap(([path, methods]) =>
      Object.keys(methods).map(
        (method) => `${method.toUpperCase()} ${path.replaceAll(/\{(\w+)\}/g, ':$1')}`,
      ),
    );
    const undocumented = ['GET /', 'GET /*', 'GET /openapi.json'];
    expect([...routes, ...undocumented].sort()).toEqual(Object.keys(LEAST_ROLE).sort());
  });

  it('keeps a server from starting that has a route which is not in it', async () => {
    const app = fastify();
    onTestFinished(() => app.close());
    await addRoleGuard(app, LOCAL_ONLY);
    expect(() => app.get('/api/v1/new', async () => '')).toThrow(/has no least role/);
    expect(() => app.get('/api/v1/panel', async () => '')).not.toThrow();
  });

  it('wants a fresh password for whatever a technician changes', () => {
    for (const [route, least] of Object.entries(LEAST_ROLE)) {
      const [method = ''] = route.split(' ');
      expect(needsFreshness(method, least)).toBe(least === 'technician' && method === 'POST');
    }
    expect(leastRoleOf('HEAD', '/api/v1/panel')).toBe('guest');
    expect(leastRoleOf('PUT', '/api/v1/panel')).toBeUndefined();
  });

  it('is held to on every route, for every role and for nobody', { timeout: 60_000 }, async () => {
    const all = await guarded();
    const headers = new Map<Role | null, Record<string, string>>([[null, FROM_NETWORK]]);
    for (const [role, name] of [
      ['guest', 'Gus'],
      ['crew', 'Cal'],
      ['technician', 'Ann'],
    ] as const) {
      headers.set(role, await pageOf(all, name));
    }
    for (const [route, least] of Object.entries(LEAST_ROLE)) {
      const [method = '', url = ''] = route.split(' ');
      // Signing out ends what the others are tried with; the stream does not end by itself.
      if (url === '/api/v1/sign-out' || url === '/api/v1/live' || url === '/*') continue;
      for (const [role, given] of headers) {
        const isAllowed = least === 'anybody' || isAtLeast(role, least);
        const answered =
          method === 'GET'
            ? await ask(all.api, addressOf(url), { headers: given })
            : await post(all.api, addressOf(url), BODIES[route] ?? {}, given);
        const said = `${route} as ${role ?? 'nobody'}: ${answered.status}`;
        const isRefused =
          answered.status === (role === null ? 401 : 403) && /"needs":/.test(answered.text);
        expect(isRefused, said).toBe(!isAllowed);
      }
    }
  });

  it('is held to by the live stream, for every role and for nobody', async () => {
    const all = await guarded();
    expect((await ask(all.api, '/api/v1/live', { headers: FROM_NETWORK })).status).toBe(401);
    const evil = await ask(all.api, '/api/v1/live', {
      headers: { ...(await pageOf(all, 'Ann')), host: 'evil.example' },
    });
    expect(evil.status).toBe(421);
  });

  it('is not got round by another method, case or slash', async () => {
    const { api } = await guarded();
    for (const method of ['PUT', 'PATCH', 'DELETE', 'OPTIONS']) {
      const { status } = await ask(api, '/api/v1/persons', {
        method,
        headers: { ...FROM_NETWORK, 'content-type': 'application/json' },
      });
      expect([404, 405]).toContain(status);
    }
    for (const path of [
      '/API/v1/panel',
      '//api/v1/panel',
      '/api/v1/panel/',
      '/api/v1/%70anel/..',
      '/api/v1/../v1/panel',
    ]) {
      expect([401, 404]).toContain((await ask(api, path, { headers: FROM_NETWORK })).status);
    }
    expect((await ask(api, '/api/v1/%70anel', { headers: FROM_NETWORK })).status).toBe(401);
  });
});

describe('the local screen', () => {
  it('looks and acts as the crew without signing in, and changes nothing', async () => {
    const { api, daemon } = await guarded();
    daemon.happens(alertWith({ id: 'a#1' }), 'raised');
    expect((await ask(api, '/api/v1/panel')).status).toBe(200);
    expect((await post(api, '/api/v1/alerts/a%231/acknowledge', { by: 'Ann' })).status).toBe(200);
    expect((await ask(api, '/api/v1/persons')).status).toBe(403);
  });

  it.each([
    ['technician', 200, 200],
    ['guest', 200, 403],
    [null, 401, 401],
  ] as const)('is %s where the settings say so', async (loopbackRole, looks, acts) => {
    const { api } = await guarded({ loopbackRole });
    expect((await ask(api, '/api/v1/panel')).status).toBe(looks);
    expect((await post(api, '/api/v1/mode', { mode: 'away', by: 'Ann' })).status).toBe(acts);
    expect((await ask(api, '/api/v1/persons')).status).toBe(
      loopbackRole === 'technician' ? 200 : looks === 200 ? 403 : 401,
    );
  });

  it.each([
    [{ 'x-forwarded-for': '192.0.2.4' }],
    [{ 'x-forwarded-for': '127.0.0.1' }],
    [{ forwarded: 'for=192.0.2.4' }],
    [{ 'x-real-ip': '192.0.2.4' }],
    [{ via: '1.1 proxy' }],
    [{ 'x-forwarded-proto': 'https' }],
    [{ host: 'boat.example' }],
  ])('is not who comes through a proxy of this computer: %j', async (headers) => {
    const { api } = await guarded({}, { names: ['boat.example'] });
    const answered = await ask(api, '/api/v1/panel', { headers });
    expect(answered.status).toBe(401);
    expect(errorOf(answered.text).needs).toBe('sign-in');
  });
});

describe('a guest of the network', () => {
  it('looks where that was opened, and only looks', async () => {
    const { api, daemon } = await guarded({ isGuestOpen: true });
    daemon.happens(alertWith({ id: 'a#1' }), 'raised');
    expect((await ask(api, '/api/v1/panel', { headers: FROM_NETWORK })).status).toBe(200);
    const path = '/api/v1/alerts/a%231/acknowledge';
    const answered = await post(api, path, { by: 'Eve' }, FROM_NETWORK);
    expect(answered.status).toBe(403);
    expect(errorOf(answered.text).needs).toBe('sign-in');
    expect(daemon.open.get('a#1')?.phase).toBe('unacknowledged');
    expect((await ask(api, '/api/v1/export?from=0&to=1', { headers: FROM_NETWORK })).status).toBe(
      403,
    );
  });

  it('sees nothing before the boat is set up, whatever was opened', async () => {
    const { api } = await guarded({ isGuestOpen: true }, {}, deskIn());
    for (const path of ['/api/v1/panel', '/api/v1/live', '/healthz', '/metrics', '/openapi.json']) {
      const answered = await ask(api, path, { headers: FROM_NETWORK });
      expect(answered.status).toBe(401);
      expect(errorOf(answered.text).needs).toBe('set-up');
    }
    const said = JSON.parse((await ask(api, '/api/v1/session', { headers: FROM_NETWORK })).text);
    expect(said).toMatchObject({ role: null, mustSetUp: true, canSignIn: false });
  });
});

describe('an act', () => {
  it('stands under the name of whoever is signed in', async () => {
    const all = await guarded();
    const { api, daemon, at } = all;
    daemon.happens(alertWith({ id: 'a#1' }), 'raised');
    const headers = await pageOf(all, 'Cal');
    const path = '/api/v1/alerts/a%231/';
    const other = await post(api, `${path}acknowledge`, { by: 'Ann' }, headers);
    expect(other.status).toBe(403);
    expect(errorOf(other.text).message).toMatch(/signed in as Cal/);
    expect((await post(api, `${path}acknowledge`, {}, headers)).status).toBe(200);
    const events = daemon.store.alertEvents('a#1');
    expect(events.at(-1)?.actor).toBe('Cal');
    expect(at.desk.audit.list(1)[0]).toMatchObject({
      who: 'Cal',
      role: 'crew',
      address: '192.0.2.44',
      act: 'alerts/:id/acknowledge',
      object: 'a#1',
      outcome: 'done',
    });
  });

  it('of the local screen stands under the name that was given there', async () => {
    const { api, at } = await guarded();
    await post(api, '/api/v1/mode', { mode: 'away', by: 'Ann' });
    expect(at.desk.audit.list(1)[0]).toMatchObject({
      who: 'Ann (local screen)',
      act: 'mode',
      object: '{"mode":"away"}',
    });
  });

  it('of a technician needs a password given within half an hour', async () => {
    const all = await guarded();
    const { api, at } = all;
    const headers = await pageOf(all, 'Ann');
    const person = { name: 'Dot', role: 'crew', password: PASSWORD };
    at.clock.advanceTo(at.clock.nowMs() + 31 * 60_000);
    const stale = await post(api, '/api/v1/persons', person, headers);
    expect(stale.status).toBe(403);
    expect(errorOf(stale.text).needs).toBe('password again');
    expect((await ask(api, '/api/v1/persons', { headers })).status).toBe(200);
    const fresh = await post(api, '/api/v1/session/fresh', { password: PASSWORD }, headers);
    expect(fresh.status).toBe(200);
    const cookie = fresh.headers['set-cookie']?.[0]?.split(';')[0] ?? '';
    expect((await post(api, '/api/v1/persons', person, { ...headers, cookie })).status).toBe(200);
    // The old cookie is good for nothing any more.
    expect((await ask(api, '/api/v1/persons', { headers })).status).toBe(401);
  });
});

describe('a page from elsewhere', () => {
  it('does nothing with the cookie of somebody who is signed in', async () => {
    const all = await guarded();
    const cookie = await cookieFor(all, 'Cal');
    const body = { mode: 'away', by: 'Cal' };
    const ways: Record<string, string>[] = [
      // A form or a script that our page did not send has no header of its own.
      {},
      { ...BY_PAGE, origin: 'http://evil.example' },
      { ...BY_PAGE, 'sec-fetch-site': 'cross-site' },
      { 'x-requested-by': 'XMLHttpRequest' },
    ];
    for (const way of ways) {
      const headers = { ...FROM_NETWORK, cookie, ...way };
      expect((await post(all.api, '/api/v1/mode', body, headers)).status).toBe(403);
    }
    const form = await ask(all.api, '/api/v1/mode', {
      method: 'POST',
      headers: {
        ...FROM_NETWORK,
        ...BY_PAGE,
        cookie,
        'content-type': 'application/x-www-form-urlencoded',
      },
      body: 'mode=away&by=Cal',
    });
    expect(form.status).toBe(415);
    const own = { ...FROM_NETWORK, ...BY_PAGE, cookie };
    expect((await post(all.api, '/api/v1/mode', body, own)).status).toBe(200);
  });
});
