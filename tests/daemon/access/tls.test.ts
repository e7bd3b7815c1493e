/** The boat's own certificates, judged by OpenSSL as it is in Node, and by a TLS client. */
import { X509Certificate } from 'node:crypto';
import { once } from 'node:events';
import { readFileSync, statSync, writeFileSync } from 'node:fs';
import { type AddressInfo, connect as connectPlainly } from 'node:net';
import { join } from 'node:path';
import { connect, createServer } from 'node:tls';
import { describe, expect, onTestFinished, test } from 'vitest';
import { newAuthority, newPageCertificate } from '../../../daemon/access/certificates.ts';
import { isPermitted } from '../../../daemon/access/name-constraints.ts';
import { openTls, readPair } from '../../../daemon/access/tls-files.ts';
import { makeTls } from '../../../daemon/access/tls-making.ts';
import { started } from '../api/fixtures.ts';
import { newFolder } from './fixtures.ts';

const NOW_MS = Date.now();
const DAY_MS = 24 * 3_600_000;
const NAMES = ['boat.example', 'pi.local', '192.168.7.2', 'fd00::2'];

/** What a client that trusts `authority` says of a server with `page` when it asks for `name`. */
async function judged(
  authority: string,
  page: { cert: string; key: string },
  name: string,
): Promise<string> {
  const server = createServer(page, (socket) => socket.end());
  server.on('tlsClientError', () => {});
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  const { port } = server.address() as AddressInfo;
  const verdict = await new Promise<string>((resolve) => {
    const socket = connect(
      {
        host: '127.0.0.1',
        port,
        ca: authority,
        checkServerIdentity: (_, cert) => identityOf(cert.raw, name),
      },
      () => resolve('trusted'),
    );
    socket.on('error', (error) => resolve(error.message));
    socket.on('close', () => resolve('closed'));
  });
  server.close();
  return verdict;
}

/** RFC 6125 as Node has it. */
function identityOf(raw: Buffer, name: string): Error | undefined {
  const cert = new X509Certificate(raw);
  const isFor = /^[\d.]+$|:/.test(name) ? cert.checkIP(name) : cert.checkHost(name);
  return isFor === undefined ? new Error(`not for ${name}`) : undefined;
}

describe('the certificate of the page', () => {
  test('is trusted for its names by whoever trusts the authority, and by nobody else', async () => {
    const authority = await newAuthority('Testing', NAMES, NOW_MS);
    const page = await newPageCertificate(authority, NAMES, NOW_MS);
    for (const name of NAMES) expect(await judged(authority.cert, page, name)).toBe('trusted');
    expect(await judged(authority.cert, page, 'bank.example.com')).toMatch(/not for bank/);
    const other = await newAuthority('Testing', NAMES, NOW_MS);
    expect(await judged(other.cert, page, 'pi.local')).not.toBe('trusted');
  });

  // CA/Browser Forum, Baseline Requirements 6.3.2: at most 398 days; RFC 5280 for the extensions.
  test('lasts 397 days at most, on P-256, for a server only', async () => {
    const authority = await newAuthority('Testing', NAMES, NOW_MS);
    const page = new X509Certificate((await newPageCertificate(authority, NAMES, NOW_MS)).cert);
    const days = (Date.parse(page.validTo) - Date.parse(page.validFrom)) / DAY_MS;
    expect(days).toBeLessThanOrEqual(397);
    expect(days).toBeGreaterThan(360);
    expect(page.publicKey.asymmetricKeyDetails?.namedCurve).toBe('prime256v1');
    expect(page.keyUsage).toEqual(['1.3.6.1.5.5.7.3.1']);
    expect(page.ca).toBe(false);
    expect(page.verify(new X509Certificate(authority.cert).publicKey)).toBe(true);
    const root = new X509Certificate(authority.cert);
    expect(root.ca).toBe(true);
    expect((Date.parse(root.validTo) - Date.parse(root.validFrom)) / DAY_MS).toBe(3650);
  });

  // RFC 5280, 4.2.1.10.
  test.each(['bank.example.com', 'example', '203.0.113.7', '2001:db8::1'])(
    'of the authority for %s is refused: it vouches for the boat alone',
    async (name) => {
      const authority = await newAuthority('Testing', NAMES, NOW_MS);
      const stolen = await newPageCertificate(authority, [name], NOW_MS);
      expect(await judged(authority.cert, stolen, name)).toMatch(/permitted subtree/);
      expect(isPermitted(name, NAMES)).toBe(false);
    },
  );

  test.each([
    'x.local',
    'localhost',
    '10.9.8.7',
    '172.31.0.1',
    '192.168.1.1',
    'fe80::1',
    'page.boat.example',
  ])('of the authority for %s is trusted: that is the boat’s own network', async (name) => {
    const authority = await newAuthority('Testing', NAMES, NOW_MS);
    const page = await newPageCertificate(authority, [name], NOW_MS);
    expect(await judged(authority.cert, page, name)).toBe('trusted');
    expect(isPermitted(name, NAMES)).toBe(true);
  });

  test('is read back, and a key of another is found out without being shown', async () => {
    const authority = await newAuthority('Testing', NAMES, NOW_MS);
    const page = await newPageCertificate(authority, NAMES, NOW_MS);
    expect(readPair(page)).toMatchObject({
      names: expect.arrayContaining(['pi.local', '192.168.7.2']),
    });
    expect(readPair({ cert: page.cert, key: authority.key })).toEqual({
      problem: 'the key is not that of the certificate',
    });
    expect(readPair({ cert: page.cert, key: 'secret' })).toEqual({
      problem: 'the certificate or the key is not valid PEM',
    });
  });
});

describe('panelward tls', () => {
  const asked = { boat: 'Testing', names: NAMES, nowMs: NOW_MS };

  test('keeps the authority, renews the page, and remembers the names', async () => {
    const folder = newFolder();
    const first = await makeTls(folder, asked);
    const second = await makeTls(folder, {
      ...asked,
      names: ['pi.local'],
      nowMs: NOW_MS + 300 * DAY_MS,
    });
    if ('problem' in first || 'problem' in second) throw new Error('not made');
    expect([first.isAuthorityNew, second.isAuthorityNew]).toEqual([true, false]);
    expect(second.authorityFingerprint).toBe(first.authorityFingerprint);
    expect(second.fingerprint).not.toBe(first.fingerprint);
    expect(second.names).toContain('boat.example');
    expect(second.endsAtMs - first.endsAtMs).toBe(300 * DAY_MS);
    for (const name of ['authority.key', 'authority.crt', 'page.key', 'page.crt']) {
      expect(statSync(join(folder, 'tls', name)).mode & 0o077).toBe(0);
    }
    expect(statSync(join(folder, 'tls')).mode & 0o077).toBe(0);
  });

  test('says so where the authority may not vouch for a name, or is broken', async () => {
    const folder = newFolder();
    await makeTls(folder, asked);
    expect(await makeTls(folder, { ...asked, names: ['other.example'] })).toMatchObject({
      problem: expect.stringMatching(/may not vouch for other\.example/),
    });
    writeFileSync(join(folder, 'tls', 'authority.key'), 'broken');
    expect(await makeTls(folder, asked)).toMatchObject({
      problem: expect.stringMatching(/--anew/),
    });
    expect(await makeTls(folder, { ...asked, isAnew: true })).toMatchObject({
      isAuthorityNew: true,
    });
  });
});

describe('the page by TLS', () => {
  test('answers by TLS and by nothing else', async () => {
    const folder = newFolder();
    const made = await makeTls(folder, {
      boat: 'Testing',
      names: ['localhost', '127.0.0.1'],
      nowMs: NOW_MS,
    });
    const opened = openTls(folder, undefined);
    if ('problem' in made || opened === null || 'problem' in opened) throw new Error('not made');
    const ca = readFileSync(made.authorityFile, 'utf8');
    const { api } = await started({ tls: { ...opened, isStrict: false } });
    expect(api.address).toBe(`https://127.0.0.1:${api.port}`);
    const text = await askedByTls(api.port, ca);
    expect(text).toMatch(/^HTTP\/1\.1 200/);
    // A private authority must not lock a browser out of the page for a year.
    expect(text).not.toMatch(/strict-transport-security/i);
    const plain = await askedPlainly(api.port);
    expect(plain).not.toMatch(/200|panel/);
  });

  test('tells browsers to use nothing else where the certificate is one’s own', async () => {
    const folder = newFolder();
    const made = await makeTls(folder, {
      boat: 'Testing',
      names: ['localhost', '127.0.0.1'],
      nowMs: NOW_MS,
    });
    if ('problem' in made) throw new Error(made.problem);
    const own = { cert: 'tls/page.crt', key: 'tls/page.key' };
    const opened = openTls(folder, own);
    if (opened === null || 'problem' in opened) throw new Error('not opened');
    expect(opened.isOwn).toBe(true);
    const { api } = await started({ tls: { ...opened, isStrict: opened.isOwn } });
    const text = await askedByTls(api.port, readFileSync(made.authorityFile, 'utf8'));
    expect(text).toMatch(/strict-transport-security: max-age=31536000\r\n/i);
  });
});

const REQUEST = 'GET /api/v1/session HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n';

async function askedByTls(port: number, ca: string): Promise<string> {
  const socket = connect({ host: '127.0.0.1', port, ca, servername: 'localhost' });
  onTestFinished(() => void socket.destroy());
  socket.write(REQUEST);
  let text = '';
  for await (const bytes of socket) text += String(bytes);
  return text;
}

async function askedPlainly(port: number): Promise<string> {
  const socket = connectPlainly(port, '127.0.0.1');
  onTestFinished(() => void socket.destroy());
  socket.write(REQUEST);
  let text = '';
  socket.on('data', (bytes) => {
    text += String(bytes);
  });
  socket.on('error', () => {});
  await once(socket, 'close');
  return text;
}
