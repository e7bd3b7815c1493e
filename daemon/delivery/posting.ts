/**
 * One HTTP POST to somebody outside: the name is resolved first, every address of it is judged, and the
 * one that passed is the one that is called, so that a name server cannot change its mind between the
 * two. Follows no redirect, reads a bounded answer, checks certificates.
 */
import { lookup } from 'node:dns/promises';
import { request as plainRequest } from 'node:http';
import type { IncomingMessage, OutgoingHttpHeaders, RequestOptions } from 'node:http';
import { request as tlsRequest } from 'node:https';
import { isIP } from 'node:net';
import type { MayReach } from './addresses.ts';
import { wordsOf } from './way.ts';

export interface Posting {
  url: URL;
  headers: OutgoingHttpHeaders;
  body: string | Uint8Array;
  mayReach: MayReach;
  /** Certificate authority in PEM, in place of those that Node trusts. */
  ca?: string | undefined;
  /** Takes the place of the system's name server, in tests. */
  resolve?: ((host: string) => Promise<string[]>) | undefined;
}

export interface Answer {
  status: number;
  headers: IncomingMessage['headers'];
  /** UTF-8; at most 64 KiB. */
  body: string;
}

const ANSWER_BYTES_MAX = 64 * 1024;

/** `problem`: no answer came; half a sentence. Never rejects for what a network can do. */
export async function post(
  posting: Posting,
  signal: AbortSignal,
): Promise<Answer | { problem: string }> {
  try {
    const address = await addressFor(posting);
    if (typeof address !== 'string') return address;
    return await exchange(posting, address, signal);
  } catch (error) {
    if (signal.aborted) return { problem: 'no answer came in time' };
    return { problem: wordsOf(error) };
  }
}

async function addressFor({
  url,
  mayReach,
  resolve = systemResolve,
}: Posting): Promise<string | { problem: string }> {
  const host = url.hostname.replace(/^\[|\]$/g, '');
  const addresses = isIP(host) === 0 ? await resolve(host) : [host];
  const wrong = addresses.find((address) => !mayReach(address));
  if (wrong !== undefined) {
    return { problem: `${host} is at ${wrong}, which this way must not call` };
  }
  return addresses[0] ?? { problem: `${host} has no address` };
}

async function systemResolve(host: string): Promise<string[]> {
  const found = await lookup(host, { all: true, verbatim: true });
  return found.map(({ address }) => address);
}

function exchange(
  { url, headers, body, ca }: Posting,
  address: string,
  signal: AbortSignal,
): Promise<Answer | { problem: string }> {
  const family = isIP(address);
  const options: RequestOptions & { ca?: string } = {
    method: 'POST',
    headers: { ...headers, 'content-length': Buffer.byteLength(body) },
    signal,
    agent: false,
    // Pinned: the name still goes into the request and is held against the certificate.
    lookup: (_host, { all }, done) => {
      if (all === true) done(null, [{ address, family }]);
      else done(null, address, family);
    },
    ...(ca !== undefined && { ca }),
  };
  return new Promise((resolve, reject) => {
    const request = (url.protocol === 'https:' ? tlsRequest : plainRequest)(url, options);
    request.once('error', reject);
    request.once('response', (response) => {
      answerOf(response).then(resolve, reject);
    });
    request.end(body);
  });
}

async function answerOf(response: IncomingMessage): Promise<Answer | { problem: string }> {
  const chunks: Buffer[] = [];
  let bytes = 0;
  for await (const chunk of response) {
    if (!Buffer.isBuffer(chunk)) continue;
    bytes += chunk.length;
    if (bytes > ANSWER_BYTES_MAX) {
      response.destroy();
      return { problem: 'the answer is longer than 64 KiB' };
    }
    chunks.push(chunk);
  }
  const { statusCode: status = 0, headers } = response;
  return { status, headers, body: Buffer.concat(chunks).toString('utf8') };
}

const RETRY_AFTER_MAX_MS = 3_600_000;

/** RFC 9110 section 10.2.3: seconds, or an HTTP date held against the answer's own. At most an hour. */
export function retryAfterMs({ headers }: Answer): number | undefined {
  const asked = headers['retry-after'];
  if (asked === undefined) return undefined;
  const untilMs = Date.parse(asked);
  const nowMs = Date.parse(headers.date ?? '');
  const ms = /^\d{1,9}$/.test(asked) ? Number(asked) * 1000 : untilMs - nowMs;
  return Number.isFinite(ms) ? Math.min(Math.max(0, ms), RETRY_AFTER_MAX_MS) : undefined;
}
