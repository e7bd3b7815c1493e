/** Who is refused, and with what headers everybody is answered. */
import { connect, type Socket } from 'node:net';
import { createServer } from 'node:http';
import { networkInterfaces } from 'node:os';
import { describe, expect, it, onTestFinished } from 'vitest';
import { ListenProblem, WHY_LOOPBACK } from '../../../daemon/api/api.ts';
import { errorAnswerSchema } from '../../../daemon/api/contract.ts';
import { alertWith } from '../store/fixtures.ts';
import { type Answered, ask, post, started } from './fixtures.ts';

const messageOf = (answered: Answered): string =>
  errorAnswerSchema.parse(JSON.parse(answered.text)).error.message;

describe('security headers', () => {
  it.each([
    ['/api/v1/panel', 200],
    ['/nothing', 404],
    ['/api/v1/alerts?x=1', 400],
    ['/', 503],
    ['/metrics', 200],
    ['/openapi.json', 200],
    ['/api/v1/alerts/%zz', 400],
  ])('stand on %s', async (path, status) => {
    const { api } = await started();
    const answered = await ask(api, path);
    expect(answered.status).toBe(status);
    expect(answered.headers).toMatchObject({
      'content-security-policy':
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; " +
        "manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
      'x-content-type-options': 'nosniff',
      'referrer-policy': 'no-referrer',
    });
    expect(answered.headers['access-control-allow-origin']).toBeUndefined();
    expect(answered.headers['x-powered-by']).toBeUndefined();
  });
});

describe('the Host header', () => {
  it.each(['localhost', 'LOCALHOST', '127.0.0.1', '[::1]', '127.0.0.1:9'])(
    '%s is one of ours',
    async (host) => {
      const { api } = await started();
      expect((await ask(api, '/api/v1/panel', { headers: { host } })).status).toBe(200);
    },
  );

  it('may be a name that we were told, which is not that of the local screen', async () => {
    const { api } = await started({ names: ['boat.example'] });
    const headers = { host: 'boat.example' };
    expect((await ask(api, '/api/v1/session', { headers })).status).toBe(200);
    expect((await ask(api, '/api/v1/panel', { headers })).status).toBe(401);
  });

  it.each([
    'evil.example',
    'localhost.evil.example',
    'evil.example:8080',
    'localhost@evil.example',
    '192.0.2.7',
    '0x7f000001',
    'a b',
  ])('%j is refused, whatever the address', async (host) => {
    const { api } = await started();
    for (const path of ['/api/v1/panel', '/', '/metrics', '/nothing', '/api/v1/live']) {
      const answered = await ask(api, path, { headers: { host } });
      expect(answered.status).toBe(421);
      expect(messageOf(answered)).toMatch(/not known by that name/);
    }
  });

  it('given twice, empty or not at all is refused', async () => {
    const { api } = await started();
    const twice = await raw(
      api.port,
      'GET /api/v1/panel HTTP/1.1\r\nHost: localhost\r\nHost: evil.example\r\n\r\n',
    );
    expect(twice).toMatch(/^HTTP\/1.1 (400|421)/);
    const empty = await raw(api.port, 'GET /api/v1/panel HTTP/1.1\r\nHost:\r\n\r\n');
    expect(empty).toMatch(/^HTTP\/1.1 (400|421)/);
    expect(await raw(api.port, 'GET /api/v1/panel HTTP/1.1\r\n\r\n')).toMatch(
      /^HTTP\/1.1 (400|421)/,
    );
  });

  it('may be the very address that was reached, where it is bound to the network', async () => {
    const address = Object.values(networkInterfaces())
      .flat()
      .find((each) => each?.family === 'IPv4' && !each.internal)?.address;
    const { api } = await started({ host: '0.0.0.0' });
    expect(api.address).toBe(`http://localhost:${api.port}`);
    if (address === undefined) return;
    const here = await fetch(`http://${address}:${api.port}/api/v1/session`);
    expect(here.status).toBe(200);
    const unknown = await fetch(`http://${address}:${api.port}/api/v1/boat`);
    expect(unknown.status).toBe(401);
    const elsewhere = await ask(api, '/api/v1/boat', { headers: { host: address } });
    // Reached on loopback under another address: nobody's browser does that.
    expect(elsewhere.status).toBe(421);
  });
});

describe('a page from elsewhere', () => {
  const path = '/api/v1/alerts/a%231/acknowledge';

  it.each([
    [{ origin: 'http://evil.example' }],
    [{ origin: 'null' }],
    [{ origin: 'https://127.0.0.1' }],
    [{ origin: 'http://127.0.0.1:1' }],
    [{ 'sec-fetch-site': 'cross-site' }],
    [{ 'sec-fetch-site': 'same-site' }],
  ])('with %j acknowledges nothing', async (headers) => {
    const { api, daemon } = await started();
    daemon.happens(alertWith({ id: 'a#1' }), 'raised');
    const answered = await post(api, path, { by: 'Mallory' }, headers);
    expect(answered.status).toBe(403);
    expect(messageOf(answered)).toMatch(/Only the page that panelward itself serves/);
    expect(daemon.open.get('a#1')?.phase).toBe('unacknowledged');
  });

  it('is not ours; ours may', async () => {
    const { api, daemon } = await started();
    daemon.happens(alertWith({ id: 'a#1' }), 'raised');
    const answered = await post(
      api,
      path,
      { by: 'Ann' },
      { origin: `http://127.0.0.1:${api.port}`, 'sec-fetch-site': 'same-origin' },
    );
    expect(answered.status).toBe(200);
  });
});

describe('listening', () => {
  it('is on this computer only, and the reason is there to be said', async () => {
    const { api, lines } = await started();
    expect(api.address).toBe(`http://127.0.0.1:${api.port}`);
    expect(lines).toEqual([]);
    expect(WHY_LOOPBACK).toMatch(/127\.0\.0\.1.*nobody has to sign in.*there everybody has to/);
  });

  it('on a port that is taken says what to do', async () => {
    const other = createServer();
    await new Promise<void>((resolve) => {
      other.listen(0, '127.0.0.1', resolve);
    });
    onTestFinished(() => void other.close());
    const address = other.address();
    const port = typeof address === 'object' && address !== null ? address.port : 0;
    const start = started({ port });
    await expect(start).rejects.toThrow(ListenProblem);
    await expect(start).rejects.toThrow(
      `Port ${port} on 127.0.0.1 is taken by another program, perhaps another panelward. End that one, or give another port.`,
    );
  });

  it('on an address of somebody else says what to do', async () => {
    await expect(started({ host: '192.0.2.7' })).rejects.toThrow(/no address of this computer/);
  });
});

describe('what is no HTTP', () => {
  it.each([
    '\u0000\u0001\u0002\r\n\r\n',
    'GET / HTTP/9.9\r\n\r\n',
    `GET / HTTP/1.1\r\nX: ${'y'.repeat(40_000)}\r\n\r\n`,
  ])('is answered with 400 and the connection is closed (%#)', async (bytes) => {
    const { api } = await started();
    const text = await raw(api.port, bytes);
    expect(text).toMatch(/^HTTP\/1.1 400 Bad Request/);
    expect(text).toMatch(/"message":"This is not a valid HTTP request\."/);
  });
});

describe('connections', () => {
  it('beyond 256 cost one its place that asks for nothing, and the others go on', async () => {
    const { api } = await started();
    const sockets: Socket[] = [];
    onTestFinished(() => sockets.forEach((socket) => socket.destroy()));
    for (let each = 0; each < 256; each += 1) {
      const socket = connect(api.port, '127.0.0.1');
      socket.on('error', () => {});
      await new Promise((resolve) => socket.once('connect', resolve));
      sockets.push(socket);
    }
    const [first, second] = sockets;
    const gone = new Promise((resolve) => first?.once('close', resolve));
    expect((await ask(api, '/api/v1/boat')).status).toBe(200);
    await gone;
    const answered = new Promise<string>((resolve) => {
      second?.once('data', (bytes: Buffer) => resolve(bytes.toString()));
    });
    second?.write('GET /api/v1/boat HTTP/1.1\r\nHost: localhost\r\n\r\n');
    expect(await answered).toMatch(/^HTTP\/1.1 200/);
  });
});

/** Sends bytes as they are and gives back all that comes until the other side closes. */
function raw(port: number, bytes: string): Promise<string> {
  return new Promise((resolve, reject) => {
    const socket = connect(port, '127.0.0.1', () => socket.write(bytes, 'latin1'));
    let text = '';
    socket.setEncoding('utf8');
    socket.on('data', (chunk: string) => {
      text += chunk;
      // An answer with a length and an open connection is complete with its body.
      if (/\r\n\r\n\{.*\}$/s.test(text)) socket.end();
    });
    socket.on('close', () => resolve(text));
    socket.on('error', reject);
  });
}
