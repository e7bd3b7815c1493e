/** Webhooks against a real HTTPS server: signature, proof of delivery, refusals, and where they may go. */
import { createHmac } from 'node:crypto';
import { beforeAll, describe, expect, it } from 'vitest';
import { webhookWay, type WebhookOptions } from '../../../daemon/delivery/webhook-way.ts';
import { type Certificates, madeCertificates } from './certificates.ts';
import { letterWith, START_MS } from './fixtures.ts';
import { hanging, portal, type Receiver, saying, startReceiver } from './receiver.ts';

const SECRET = 'a key of the test';
const LETTER = letterWith('overload.feeder#1 é');

let certificates: Certificates;
beforeAll(async () => {
  certificates = await madeCertificates(['localhost', '127.0.0.1', 'hook.example.org']);
});

function wayTo({ port }: Receiver, change: Partial<WebhookOptions> = {}) {
  return webhookWay({
    id: 'hook',
    url: `https://127.0.0.1:${port}/boat`,
    secret: SECRET,
    onBoat: true,
    ca: certificates.ca,
    utcNowMs: () => START_MS,
    ...change,
  });
}

const never = (): AbortSignal => new AbortController().signal;

describe('a webhook', () => {
  it('is signed over its time and body, and carries the same key each time', async () => {
    const receiver = await startReceiver(certificates);
    const way = wayTo(receiver);
    expect(await way.send(LETTER, never())).toEqual({ answer: '200, taken' });
    await way.send(LETTER, never());
    const [first, second] = receiver.received;
    expect(first?.path).toBe('/boat');
    const timestamp = String(START_MS);
    expect(first?.headers['x-panelward-timestamp']).toBe(timestamp);
    // RFC 2104 by the system's own library, over the bytes as they came.
    const hmac = createHmac('sha256', SECRET)
      .update(`${timestamp}.`)
      .update(first?.body ?? '');
    expect(first?.headers['x-panelward-signature']).toBe(`v1=${hmac.digest('hex')}`);
    expect(first?.headers['idempotency-key']).toBe('overload.feeder#1%20%C3%A9');
    expect(second?.headers['idempotency-key']).toBe(first?.headers['idempotency-key']);
    expect(JSON.parse(String(first?.body))).toMatchObject({
      key: LETTER.key,
      boat: 'Sandpiper',
      priority: 'alarm',
      headline: LETTER.headline,
      text: LETTER.text,
    });
  });

  it.each([
    ['a portal that answers everything with 200', portal, /200 but not \{"ok": true\}/],
    ['200 and JSON that says something else', saying(200, '{"ok": false}'), /200 but not/],
    ['204 and nothing', saying(204, ''), /204 but not/],
    ['a redirect', saying(302, '', { location: 'http://127.0.0.1:1/' }), /302, a redirect/],
    ['500', saying(500, ''), /answered 500/],
    ['an answer of a megabyte', saying(200, 'x'.repeat(1e6)), /longer than 64 KiB/],
    ['a hangup', (response) => response.destroy(), /hang up|ECONNRESET|aborted/],
  ] satisfies [string, Receiver['answer'], RegExp][])(
    'takes %s for no delivery and tries again',
    async (_what, answer, words) => {
      const receiver = await startReceiver(certificates);
      receiver.answer = answer;
      const outcome = await wayTo(receiver).send(LETTER, never());
      expect(outcome).toMatchObject({ problem: expect.stringMatching(words), isFinal: false });
      expect(receiver.received).toHaveLength(1);
    },
  );

  it.each([400, 401, 403, 404, 410])(
    'stops at %d, in the words of the other end',
    async (status) => {
      const receiver = await startReceiver(certificates);
      receiver.answer = saying(status, 'no such\r\nboat');
      expect(await wayTo(receiver).send(LETTER, never())).toEqual({
        problem: `it answered ${status}: no such boat`,
        isFinal: true,
      });
    },
  );

  it.each([
    [{ 'retry-after': '120' }, 120_000],
    [{ 'retry-after': '999999' }, 3_600_000],
    [
      { 'retry-after': 'Fri, 01 May 2026 06:05:00 GMT', date: 'Fri, 01 May 2026 06:00:00 GMT' },
      300_000,
    ],
  ])('waits as long as %j asks', async (headers, retryAfterMs) => {
    const receiver = await startReceiver(certificates);
    receiver.answer = saying(429, '', headers);
    expect(await wayTo(receiver).send(LETTER, never())).toMatchObject({ retryAfterMs });
  });

  it('ends when its time is over', async () => {
    const receiver = await startReceiver(certificates);
    receiver.answer = hanging;
    const outcome = await wayTo(receiver).send(LETTER, AbortSignal.timeout(200));
    expect(outcome).toEqual({ problem: 'no answer came in time', isFinal: false });
  });

  it('sends nothing to a server whose certificate nobody vouches for', async () => {
    const receiver = await startReceiver(certificates);
    const outcome = await wayTo(receiver, { ca: undefined }).send(LETTER, never());
    expect(outcome).toMatchObject({
      problem: expect.stringMatching(/certificate/),
      isFinal: false,
    });
    expect(receiver.received).toEqual([]);
  });
});

describe('where a webhook may go', () => {
  const hook = (url: string, addresses: string[], onBoat = false) =>
    webhookWay({
      id: 'hook',
      url,
      secret: SECRET,
      onBoat,
      ca: certificates.ca,
      utcNowMs: () => START_MS,
      resolve: () => Promise.resolve(addresses),
    });

  it.each([
    '127.0.0.1',
    '10.0.0.7',
    '192.168.4.1',
    '172.20.1.1',
    '100.64.0.1',
    '169.254.169.254',
    '224.0.0.251',
    '0.0.0.0',
    '::1',
    'fd00::1',
    'fe80::1',
    'ff02::1',
    '::ffff:127.0.0.1',
    '64:ff9b::7f00:1',
    '2002:7f00:1::',
  ])('is not to %s, whatever name it has', async (address) => {
    const outcome = await hook('https://hook.example.org/', ['93.184.216.34', address]).send(
      LETTER,
      AbortSignal.timeout(2000),
    );
    expect(outcome).toEqual({
      problem: `hook.example.org is at ${address}, which this way must not call`,
      isFinal: false,
    });
  });

  it.each(['https://127.0.0.1/', 'https://[::1]/', 'https://0x7f.1/', 'https://2130706433/'])(
    'is not to this computer, written as %s',
    async (url) => {
      const outcome = await hook(url, []).send(LETTER, AbortSignal.timeout(2000));
      expect(outcome).toMatchObject({ problem: expect.stringMatching(/must not call$/) });
    },
  );

  it('is never to link-local addresses, on the boat either', async () => {
    const outcome = await hook('https://hook.example.org/', ['169.254.169.254'], true).send(
      LETTER,
      AbortSignal.timeout(2000),
    );
    expect(outcome).toMatchObject({ problem: expect.stringMatching(/must not call$/) });
  });

  it('is the address that was judged: the name is asked once, and held against the certificate', async () => {
    const receiver = await startReceiver(certificates);
    let asked = 0;
    const way = wayTo(receiver, {
      url: `https://hook.example.org:${receiver.port}/`,
      resolve: () => {
        asked += 1;
        // A name server that changes its mind after the first question.
        return Promise.resolve(asked === 1 ? ['127.0.0.1'] : ['169.254.169.254']);
      },
    });
    expect(await way.send(LETTER, never())).toEqual({ answer: '200, taken' });
    expect(asked).toBe(1);
    expect(receiver.received[0]?.headers.host).toBe(`hook.example.org:${receiver.port}`);
    const wrongName = wayTo(receiver, {
      url: `https://other.example.org:${receiver.port}/`,
      resolve: () => Promise.resolve(['127.0.0.1']),
    });
    expect(await wrongName.send(LETTER, never())).toMatchObject({
      problem: expect.stringMatching(/does not match certificate/),
    });
  });
});
