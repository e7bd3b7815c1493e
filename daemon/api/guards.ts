/**
 * What every request passes before it matters who sent it (role-guard.ts). A page from elsewhere in
 * the crew's own browser is the attacker to think of: it must neither read (a name of its own that
 * resolves to us) nor acknowledge (a form or a script that posts here).
 */
import type { FastifyInstance, FastifyRequest } from 'fastify';
import { isIP } from 'node:net';
import { RequestProblem } from './problem.ts';

/** No outside source of anything: a boat is offline, and a page that loads nothing leaks nothing. */
export const SECURITY_HEADERS = {
  'content-security-policy':
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; " +
    "connect-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; " +
    "form-action 'self'; frame-ancestors 'none'",
  'x-content-type-options': 'nosniff',
  'referrer-policy': 'no-referrer',
  'cross-origin-opener-policy': 'same-origin',
  'cross-origin-resource-policy': 'same-origin',
} as const;

export const LOOPBACK_NAMES: readonly string[] = ['localhost', '127.0.0.1', '::1'];

/** A year: RFC 6797. Only where the certificate is one that every browser knows. */
const ALWAYS_TLS = { 'strict-transport-security': 'max-age=31536000' };

/**
 * Adds headers and refusals; `names` are host names by which the page may be called besides.
 * `isAlwaysTls`: tells browsers to come by TLS for ever, from which there is no way back.
 */
export function addGuards(
  app: FastifyInstance,
  names: readonly string[],
  isAlwaysTls = false,
): void {
  const allowed = new Set([...LOOPBACK_NAMES, ...names].map((name) => name.toLowerCase()));
  app.addHook('onRequest', async (request, reply) => {
    reply.headers(isAlwaysTls ? { ...SECURITY_HEADERS, ...ALWAYS_TLS } : SECURITY_HEADERS);
    refuseOtherHosts(request, allowed);
    if (request.method === 'GET' || request.method === 'HEAD') return;
    refuseOtherOrigins(request);
  });
  app.addHook('preParsing', async (request) => {
    if (request.method !== 'GET' && request.method !== 'HEAD' && !request.is404) {
      refuseOtherThanJson(request);
    }
  });
}

/** 421 unless the request was meant for us. The port is not looked at: a tunnel may change it. */
function refuseOtherHosts({ raw }: FastifyRequest, allowed: ReadonlySet<string>): void {
  const hosts = raw.rawHeaders.filter((_, index, all) => {
    return index % 2 === 1 && all[index - 1]?.toLowerCase() === 'host';
  });
  const [host] = hosts;
  const name = host === undefined || hosts.length > 1 ? null : nameIn(host);
  if (name !== null && allowed.has(name)) return;
  // An address cannot be rebound as a name can; the one that the client reached is ours.
  if (name !== null && isIP(name) !== 0 && name === plainAddress(raw.socket.localAddress)) return;
  throw new RequestProblem(
    421,
    'This computer is not known by that name. Use its address, or tell panelward the name when it starts.',
    { found: name ?? 'no single valid Host header' },
  );
}

/** 403 unless the page that sends this came from here; programs that are no browser send no Origin. */
function refuseOtherOrigins({ headers }: FastifyRequest): void {
  const { origin, host } = headers;
  // Either scheme: a proxy in front of us may speak TLS to the browser.
  const isSame =
    origin === undefined || /^https?:\/\/(.+)$/i.exec(origin)?.[1] === host?.toLowerCase();
  const site = headers['sec-fetch-site'];
  const isSameSite = site === undefined || site === 'same-origin' || site === 'none';
  if (isSame && isSameSite) return;
  throw new RequestProblem(403, 'Only the page that panelward itself serves may change anything.');
}

/** 415 unless the body is JSON: the kinds that a form can send need no permission from us. */
function refuseOtherThanJson({ headers }: FastifyRequest): void {
  const kind = headers['content-type']?.split(';')[0]?.trim().toLowerCase();
  if (kind === 'application/json') return;
  throw new RequestProblem(415, 'The body must be JSON, sent as `application/json`.', {
    expected: 'application/json',
    found: kind ?? 'no content type',
  });
}

/** The name or address in a Host header, in small letters; null where it is no valid one. */
export function nameIn(host: string): string | null {
  const match = /^(?:\[([0-9a-f:.]+)\]|([^[\]:/?#@\s]+))(?::\d{1,5})?$/i.exec(host);
  return (match?.[1] ?? match?.[2])?.toLowerCase() ?? null;
}

/** IPv4 as it is written, also where it arrives on a socket for both families. */
export function plainAddress(address: string | undefined): string | undefined {
  return address
    ?.replace(/^::ffff:(?=\d+\.)/i, '')
    .replace(/%.*$/, '')
    .toLowerCase();
}
