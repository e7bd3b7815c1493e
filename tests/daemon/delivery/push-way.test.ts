/** Push messages against an HTTPS server in the place of a push service; what it gets is decrypted. */
import { createECDH, createDecipheriv, hkdfSync, randomBytes } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeAll, describe, expect, it, onTestFinished } from 'vitest';
import { onInternet } from '../../../daemon/delivery/addresses.ts';
import { openPushKeys, type PushKeys } from '../../../daemon/delivery/push-keys.ts';
import {
  PAYLOAD_BYTES_MAX,
  payloadOf,
  pushWay,
  type PushOptions,
} from '../../../daemon/delivery/push-way.ts';
import type { PushSubscriptionRow } from '../../../daemon/store/store.ts';
import { type Certificates, madeCertificates } from './certificates.ts';
import { letterWith, START_MS } from './fixtures.ts';
import { type Receiver, saying, startReceiver } from './receiver.ts';

const LETTER = letterWith('overload.feeder#1');

let certificates: Certificates;
beforeAll(async () => {
  certificates = await madeCertificates(['localhost', '127.0.0.1']);
});

function keysInFolder(): { keys: PushKeys; folder: string } {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-push-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  const keys = openPushKeys(folder);
  if ('problem' in keys) throw new Error(keys.problem);
  return { keys, folder };
}

/** As a browser makes it: a key pair of its own and a secret. */
function browser(port: number, name: string, contact = 'wren') {
  const ecdh = createECDH('prime256v1');
  const auth = randomBytes(16);
  const subscription: PushSubscriptionRow = {
    endpoint: `https://127.0.0.1:${port}/${name}`,
    keys: { p256dh: ecdh.generateKeys('base64url'), auth: auth.toString('base64url') },
    contact,
    addedAtMs: START_MS,
  };
  return { ecdh, auth, subscription };
}

/** RFC 8291 section 3.4 and RFC 8188 section 2, from the receiver's side. */
function decrypted(body: Buffer, { ecdh, auth }: ReturnType<typeof browser>): string {
  const salt = body.subarray(0, 16);
  const idLength = body.readUInt8(20);
  const theirs = body.subarray(21, 21 + idLength);
  const info = Buffer.concat([Buffer.from('WebPush: info\0'), ecdh.getPublicKey(), theirs]);
  const ikm = Buffer.from(hkdfSync('sha256', ecdh.computeSecret(theirs), auth, info, 32));
  const key = Buffer.from(hkdfSync('sha256', ikm, salt, 'Content-Encoding: aes128gcm\0', 16));
  const nonce = Buffer.from(hkdfSync('sha256', ikm, salt, 'Content-Encoding: nonce\0', 12));
  const sealed = body.subarray(21 + idLength);
  const cipher = createDecipheriv('aes-128-gcm', key, nonce);
  cipher.setAuthTag(sealed.subarray(-16));
  const plain = Buffer.concat([cipher.update(sealed.subarray(0, -16)), cipher.final()]);
  return plain.subarray(0, plain.lastIndexOf(2)).toString('utf8');
}

function wayFor(subscriptions: readonly PushSubscriptionRow[], change: Partial<PushOptions> = {}) {
  const gone: string[] = [];
  const way = pushWay({
    id: 'phones',
    subject: 'wren@example.org',
    keys: keysInFolder().keys,
    subscriptions: () => subscriptions,
    onGone: (endpoint) => gone.push(endpoint),
    mayReach: () => true,
    utcNowMs: () => START_MS,
    isClockTrusted: () => true,
    ca: certificates.ca,
    ...change,
  });
  return { way, gone };
}

async function service(answer: Receiver['answer'] = saying(201, '')): Promise<Receiver> {
  const receiver = await startReceiver(certificates);
  receiver.answer = answer;
  return receiver;
}

const soon = (): AbortSignal => AbortSignal.timeout(5000);

describe('a push message', () => {
  it('comes encrypted for one browser, and says what the letter says', async () => {
    const receiver = await service();
    const phone = browser(receiver.port, 'phone');
    const others = browser(receiver.port, 'finch', 'finch');
    const { way } = wayFor([phone.subscription, others.subscription]);
    expect(await way.send(LETTER, soon())).toEqual({ answer: 'taken for 1 of 1 browsers' });
    const [{ path, headers, body } = { path: '', headers: {}, body: Buffer.alloc(0) }] =
      receiver.received;
    expect(path).toBe('/phone');
    expect(JSON.parse(decrypted(body, phone))).toMatchObject({
      boat: 'Sandpiper',
      headline: LETTER.headline,
      key: LETTER.key,
    });
    expect(headers).toMatchObject({
      'content-encoding': 'aes128gcm',
      urgency: 'high',
      ttl: String(72 * 3600),
      authorization: expect.stringMatching(/^vapid t=/),
    });
    // RFC 8030 section 5.4.
    expect(headers['topic']).toMatch(/^[A-Za-z0-9_-]{1,32}$/);
  });

  it.each([404, 410])(
    'that finds nobody there any more (%d) ends the subscription',
    async (status) => {
      const receiver = await service(saying(status, ''));
      const { way, gone } = wayFor([browser(receiver.port, 'phone').subscription]);
      expect(await way.send(LETTER, soon())).toMatchObject({ isFinal: true });
      expect(gone).toEqual([`https://127.0.0.1:${receiver.port}/phone`]);
    },
  );

  it('is delivered where one of two browsers has it', async () => {
    const receiver = await service((response, { path }) =>
      saying(path === '/phone' ? 201 : 410, '')(response, { path, headers: {}, body: Buffer.of() }),
    );
    const { way, gone } = wayFor(
      ['phone', 'tablet'].map((name) => browser(receiver.port, name).subscription),
    );
    expect(await way.send(LETTER, soon())).toEqual({ answer: 'taken for 1 of 2 browsers' });
    expect(gone).toHaveLength(1);
  });

  it.each([
    [429, { 'retry-after': '60' }, { isFinal: false, retryAfterMs: 60_000 }],
    [500, {}, { isFinal: false }],
    // A portal's page.
    [200, {}, { isFinal: false }],
    [400, {}, { isFinal: true }],
    [403, {}, { isFinal: true }],
  ])('is judged by its answer %d', async (status, headers, outcome) => {
    const receiver = await service(saying(status, '<html>', headers));
    const { way } = wayFor([browser(receiver.port, 'phone').subscription]);
    expect(await way.send(LETTER, soon())).toMatchObject(outcome);
  });

  it('is tried again after 403 while the clock may be wrong', async () => {
    const receiver = await service(saying(403, ''));
    const { way } = wayFor([browser(receiver.port, 'phone').subscription], {
      isClockTrusted: () => false,
    });
    expect(await way.send(LETTER, soon())).toMatchObject({ isFinal: false });
  });

  it('goes to the Internet only, whatever address a browser has given', async () => {
    const receiver = await service();
    const { way } = wayFor([browser(receiver.port, 'phone').subscription], {
      mayReach: onInternet,
    });
    expect(await way.send(LETTER, soon())).toMatchObject({
      problem: expect.stringMatching(/must not call/),
    });
    expect(receiver.received).toEqual([]);
  });

  it('without any browser of the contact is refused, not lost in silence', async () => {
    const { way } = wayFor([]);
    expect(await way.send(LETTER, soon())).toEqual({
      problem: 'no browser of "wren" has asked to be told',
      isFinal: true,
    });
  });

  it.each(['x', 'é', '\n', '"', '🛟'])('is never too long, full of %j', (character) => {
    const payload = payloadOf(letterWith('k', { text: character.repeat(6000) }));
    expect(Buffer.byteLength(payload)).toBeLessThanOrEqual(PAYLOAD_BYTES_MAX);
    expect(Buffer.byteLength(payload)).toBeGreaterThan(PAYLOAD_BYTES_MAX - 20);
    const said: unknown = JSON.parse(payload);
    expect(said).toMatchObject({ text: expect.stringMatching(/…$/), key: 'k' });
  });
});

describe('the keys of push messages', () => {
  it('are made once, for their owner only', () => {
    const { keys, folder } = keysInFolder();
    expect(openPushKeys(folder)).toEqual(keys);
    expect(statSync(join(folder, 'push-keys.json')).mode & 0o777).toBe(0o600);
  });

  it('are never made anew over damaged ones: every browser would be lost', () => {
    const { folder } = keysInFolder();
    writeFileSync(join(folder, 'push-keys.json'), '{"publicKey": "x"}');
    expect(openPushKeys(folder)).toEqual({ problem: expect.stringMatching(/holds no keys/) });
    expect(readFileSync(join(folder, 'push-keys.json'), 'utf8')).toBe('{"publicKey": "x"}');
  });
});
