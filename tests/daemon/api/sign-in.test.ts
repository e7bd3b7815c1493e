/** Signing in over HTTP: cookies, what ends a session and its stream, how often one may try. */
import { request } from 'node:http';
import { describe, expect, it } from 'vitest';
import { sessionsAnswerSchema } from '../../../daemon/api/contract.ts';
import { deskIn, PASSWORD } from '../access/fixtures.ts';
import {
  ask,
  BY_PAGE,
  cookieFor,
  FROM_NETWORK,
  type Guarded,
  guarded,
  pageOf,
  post,
} from './guarded.ts';

const said = (text: string): unknown => JSON.parse(text);
const session = async ({ api }: Guarded, headers: Record<string, string>) =>
  said((await ask(api, '/api/v1/session', { headers })).text);

describe('the cookie', () => {
  it('is out of reach of scripts and of other sites', async () => {
    const { api } = await guarded();
    const body = { name: 'Cal', password: PASSWORD };
    const plain = await post(api, '/api/v1/sign-in', body, FROM_NETWORK);
    expect(plain.headers['set-cookie']).toEqual([
      expect.stringMatching(
        /^panelward=[A-Za-z0-9_-]{43}; Max-Age=2592000; Path=\/; HttpOnly; SameSite=Strict$/,
      ),
    ]);
    expect(plain.text).not.toContain('token');
  });

  it('is bound to this host and to TLS where the browser came by TLS', async () => {
    const all = await guarded();
    const headers = { ...FROM_NETWORK, 'x-forwarded-proto': 'https' };
    const answered = await post(
      all.api,
      '/api/v1/sign-in',
      { name: 'Cal', password: PASSWORD },
      headers,
    );
    expect(answered.headers['set-cookie']).toEqual([
      expect.stringMatching(
        /^__Host-panelward=[A-Za-z0-9_-]{43}; Max-Age=2592000; Path=\/; HttpOnly; Secure; SameSite=Strict$/,
      ),
    ]);
    const cookie = answered.headers['set-cookie']?.[0]?.split(';')[0] ?? '';
    expect(await session(all, { ...headers, cookie })).toMatchObject({ person: 'Cal' });
    // The same token without TLS is worth nothing.
    expect(await session(all, { ...FROM_NETWORK, cookie })).toMatchObject({ person: null });
  });

  it('is another after signing in again, and the one before is void', async () => {
    const all = await guarded();
    const first = await cookieFor(all, 'Cal');
    const headers = { ...FROM_NETWORK, ...BY_PAGE, cookie: first };
    const second = await cookieFor(all, 'Cal', headers);
    expect(second).not.toBe(first);
    expect(await session(all, { ...FROM_NETWORK, cookie: first })).toMatchObject({ person: null });
    expect(await session(all, { ...FROM_NETWORK, cookie: second })).toMatchObject({
      person: 'Cal',
    });
  });

  it('of somebody’s making is nobody’s', async () => {
    const all = await guarded();
    for (const value of ['x', 'A'.repeat(43), '%00', "' OR 1=1", 'A'.repeat(4000)]) {
      const headers = { ...FROM_NETWORK, cookie: `panelward=${value}` };
      expect(await session(all, headers)).toMatchObject({ person: null, role: null });
    }
  });
});

describe('signing in', () => {
  it('says the same of a wrong name and of a wrong password, and in the same headers', async () => {
    const { api } = await guarded();
    const wrong = await post(api, '/api/v1/sign-in', { name: 'Ann', password: 'x' }, FROM_NETWORK);
    const unknown = await post(
      api,
      '/api/v1/sign-in',
      { name: 'Zoe', password: 'x' },
      FROM_NETWORK,
    );
    expect(wrong.status).toBe(401);
    expect(wrong.text).toBe(unknown.text);
    expect(Object.keys(wrong.headers)).toEqual(Object.keys(unknown.headers));
  });

  it('has to wait after five tries from one address, and is told how long', async () => {
    const { api } = await guarded();
    const body = { name: 'Ann', password: 'wrong' };
    for (let tries = 0; tries < 5; tries += 1)
      await post(api, '/api/v1/sign-in', body, FROM_NETWORK);
    const sixth = await post(
      api,
      '/api/v1/sign-in',
      { name: 'Ann', password: PASSWORD },
      FROM_NETWORK,
    );
    expect(sixth.status).toBe(429);
    expect(sixth.headers['retry-after']).toBe('30');
    const elsewhere = { 'x-forwarded-for': '198.51.100.1' };
    expect(
      (await post(api, '/api/v1/sign-in', { name: 'Ann', password: PASSWORD }, elsewhere)).status,
    ).toBe(200);
  });

  it('takes a password exactly as it is, and no more of a body than it should', async () => {
    const { api } = await guarded();
    const tries = [
      { name: 'Ann', password: `${PASSWORD} ` },
      { name: 'Ann', password: 'x'.repeat(1001) },
      { name: 'Ann', password: 7 },
      { name: ['Ann'], password: PASSWORD },
      { name: 'Ann', password: PASSWORD, role: 'technician' },
    ];
    const statuses: number[] = [];
    for (const body of tries) {
      statuses.push((await post(api, '/api/v1/sign-in', body, FROM_NETWORK)).status);
    }
    expect(statuses).toEqual([401, 400, 400, 400, 400]);
  });

  it('says nothing of a password that it refuses to take', async () => {
    const all = await guarded();
    const headers = await pageOf(all, 'Ann');
    const body = { name: 'Dot', role: 'crew', password: 'hunter2' };
    const answered = await post(all.api, '/api/v1/persons', body, headers);
    expect(answered.status).toBe(409);
    expect(answered.text).toMatch(/at least 8 characters/);
    expect(answered.text).not.toContain('hunter2');
    expect(all.lines.join('\n')).not.toContain('hunter2');
  });
});

describe('a session', () => {
  it('ends in the daemon when somebody signs out', async () => {
    const all = await guarded();
    const headers = await pageOf(all, 'Cal');
    const out = await post(all.api, '/api/v1/sign-out', {}, headers);
    expect(said(out.text)).toMatchObject({ person: null, role: null });
    expect(out.headers['set-cookie']?.[0]).toMatch(/^panelward=; .*Expires=Thu, 01 Jan 1970/);
    expect((await ask(all.api, '/api/v1/panel', { headers })).status).toBe(401);
  });

  it('that ends takes its live stream with it, and no other', async () => {
    const all = await guarded();
    const [cal, gus] = [await pageOf(all, 'Cal'), await pageOf(all, 'Gus')];
    const [ofCal, ofGus] = [await streamOf(all, cal), await streamOf(all, gus)];
    all.clock.advanceTo(all.clock.nowMs() + 3000);
    expect([ofCal.hasEnded(), ofGus.hasEnded()]).toEqual([false, false]);
    const ann = await pageOf(all, 'Ann');
    const listed = await ask(all.api, '/api/v1/sessions', { headers: ann });
    const { sessions } = sessionsAnswerSchema.parse(JSON.parse(listed.text));
    expect(sessions.map(({ name, isOwn }) => `${name} ${isOwn}`)).toEqual([
      'Ann true',
      'Gus false',
      'Cal false',
    ]);
    const number = sessions.find(({ name }) => name === 'Cal')?.number ?? 0;
    expect((await post(all.api, `/api/v1/sessions/${number}/end`, {}, ann)).status).toBe(200);
    all.clock.advanceTo(all.clock.nowMs() + 1000);
    await ofCal.ended;
    expect(ofGus.hasEnded()).toBe(false);
    ofGus.close();
  });
});

describe('the first run', () => {
  it('lets the first technician in by the code, and everybody sign in after that', async () => {
    const at = deskIn();
    const all = await guarded({}, {}, at);
    const code = at.desk.code.renew();
    const body = { code, name: 'Ann', password: PASSWORD };
    const refused = await post(
      all.api,
      '/api/v1/sign-in',
      { name: 'admin', password: 'admin' },
      FROM_NETWORK,
    );
    expect(refused.status).toBe(401);
    const done = await post(all.api, '/api/v1/set-up', body, FROM_NETWORK);
    expect(said(done.text)).toEqual({
      role: 'technician',
      person: 'Ann',
      isLocal: false,
      isFresh: true,
      mustSetUp: false,
      canSignIn: true,
    });
    expect((await post(all.api, '/api/v1/set-up', body, FROM_NETWORK)).status).toBe(409);
    expect(JSON.stringify(at.desk.audit.list(50))).not.toContain(code);
    expect(all.lines.join('\n')).not.toContain(code);
  });
});

describe('too many requests', () => {
  it('from one address are refused, in our words, and others are not', async () => {
    const { api } = await guarded();
    const path = '/api/v1/survey?from=0&to=1';
    const statuses: number[] = [];
    for (let each = 0; each < 14; each += 1) {
      statuses.push((await ask(api, path, { headers: FROM_NETWORK })).status);
    }
    // Whoever is refused anyway is refused before it is counted.
    expect(new Set(statuses)).toEqual(new Set([401]));
    const open = await guarded({ isGuestOpen: true });
    const answers: Awaited<ReturnType<typeof ask>>[] = [];
    for (let each = 0; each < 14; each += 1)
      answers.push(await ask(open.api, path, { headers: FROM_NETWORK }));
    expect(answers.map(({ status }) => status)).toEqual([...Array<number>(12).fill(200), 429, 429]);
    expect(answers.at(-1)?.headers['retry-after']).toMatch(/^\d+$/);
    expect(answers.at(-1)?.text).toMatch(/too many requests from this address/);
    const other = { 'x-forwarded-for': '198.51.100.7' };
    expect((await ask(open.api, path, { headers: other })).status).toBe(200);
    expect((await ask(open.api, path)).status).toBe(200);
  });
});

interface Stream {
  hasEnded: () => boolean;
  ended: Promise<void>;
  close: () => void;
}

function streamOf({ api }: Guarded, headers: Record<string, string>): Promise<Stream> {
  return new Promise((resolve, reject) => {
    const sent = request(
      { host: '127.0.0.1', port: api.port, path: '/api/v1/live', headers, agent: false },
      (response) => {
        let isOver = false;
        const ended = new Promise<void>((end) => {
          response.once('end', () => {
            isOver = true;
            end();
          });
        });
        response.resume();
        resolve({ hasEnded: () => isOver, ended, close: () => sent.destroy() });
      },
    );
    sent.on('error', reject);
    sent.end();
  });
}
