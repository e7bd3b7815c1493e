/**
 * The watcher's door: `POST /beats/BOAT` for signed beats, `GET /` for how it stands. The list tells
 * which boats lie unwatched, so it is shown on this computer only, or against a password.
 */
import { createHash, timingSafeEqual } from 'node:crypto';
import fastify from 'fastify';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { SIGNATURE_HEADER, TIMESTAMP_HEADER } from '../signature.ts';
import { LIST_HEADERS, listPage } from './list.ts';
import { Rate } from './rate.ts';
import type { Watcher } from './watcher.ts';

export interface ServerOptions {
  watcher: Watcher;
  version: string;
  nowMs: () => number;
  host: string;
  /** 0 takes any free port. */
  port: number;
  /** Password of the list for others than this computer. */
  pagePassword?: string;
  /** Certificate and key in PEM; without them plain HTTP, for a program with TLS in front. */
  tls?: { cert: string; key: string };
  /** Writes a UTC instant for a person. */
  when: (ms: number) => string;
  log: (line: string) => void;
}

export interface AshoreServer {
  port: number;
  stop(): Promise<void>;
}

const BODY_BYTES_MAX = 64 * 1024;
const CONNECTIONS_MAX = 256;
const PATIENCE_MS = 10_000;
/**
 * Requests that are refused, of one address. A signed beat is let in all the same: whoever shares
 * the marina's network, or the proxy, with a boat must not be able to silence her.
 */
const REFUSALS_PER_MINUTE = 60;

/** Throws what the system says where the address is not to be had. */
export async function startServer(options: ServerOptions): Promise<AshoreServer> {
  const { host, port, tls } = options;
  const settings = {
    logger: false,
    bodyLimit: BODY_BYTES_MAX,
    requestTimeout: PATIENCE_MS,
    connectionTimeout: PATIENCE_MS,
    keepAliveTimeout: PATIENCE_MS,
    forceCloseConnections: true,
  } as const;
  const app: FastifyInstance = tls
    ? fastify({ ...settings, https: { ...tls, minVersion: 'TLSv1.2' } })
    : fastify(settings);
  app.server.maxConnections = CONNECTIONS_MAX;
  addRoutes(app, options);
  await app.listen({ host, port });
  const address = app.server.address();
  return {
    port: typeof address === 'object' && address !== null ? address.port : port,
    stop: () => app.close(),
  };
}

function addRoutes(app: FastifyInstance, options: ServerOptions): void {
  const { watcher, nowMs, log } = options;
  const refusals = new Rate(REFUSALS_PER_MINUTE, nowMs);
  app.removeAllContentTypeParsers();
  app.addContentTypeParser('application/json', { parseAs: 'buffer' }, (_request, body, done) => {
    done(null, body);
  });
  app.addHook('onRequest', async (_request, reply) => {
    reply.headers(LIST_HEADERS);
  });
  app.post<{ Params: { boat: string } }>('/beats/:boat', async (request, reply) => {
    const body: unknown = request.body;
    const answer = watcher.beat({
      boat: request.params.boat,
      timestamp: headerOf(request, TIMESTAMP_HEADER),
      signature: headerOf(request, SIGNATURE_HEADER),
      body: Buffer.isBuffer(body) ? body : Buffer.alloc(0),
    });
    if (answer.status !== 200 && !refusals.allows(request.ip)) return tooMany(reply);
    const { status, ...said } = answer;
    return reply.code(status).send(said);
  });
  app.get('/', async (request, reply) => {
    const isRefused = !refusals.isLeft(request.ip);
    if (isRefused) return tooMany(reply);
    if (maySeeList(request, options.pagePassword)) return sendList(request, reply, options);
    refusals.allows(request.ip);
    return askForPassword(reply, options.pagePassword !== undefined);
  });
  app.setNotFoundHandler((_request, reply) => {
    return reply.code(404).send({ problem: 'There is nothing at this address.' });
  });
  app.setErrorHandler((error, _request, reply) => {
    const status = statusOf(error);
    if (status === 500)
      log(`A request failed: ${error instanceof Error ? error.message : String(error)}.`);
    return reply.code(status).send({ problem: PROBLEMS[status] ?? 'The request is not usable.' });
  });
}

function tooMany(reply: FastifyReply): FastifyReply {
  return reply
    .code(429)
    .headers({ 'retry-after': '60', connection: 'close' })
    .send({ problem: 'Too many requests of this address were refused; wait a minute.' });
}

const PROBLEMS: Readonly<Record<number, string>> = {
  413: `The body is larger than ${BODY_BYTES_MAX} bytes.`,
  415: 'The body must be JSON, sent as `application/json`.',
  500: 'Something went wrong here.',
};

function statusOf(error: unknown): number {
  const status = error instanceof Error && 'statusCode' in error ? error.statusCode : 500;
  return typeof status === 'number' && status >= 400 && status < 500 ? status : 500;
}

function headerOf({ headers }: FastifyRequest, name: string): string {
  const value = headers[name];
  return typeof value === 'string' ? value : '';
}

function sendList(
  { headers }: FastifyRequest,
  reply: FastifyReply,
  { watcher, version, when }: ServerOptions,
): FastifyReply {
  const [boats, problems] = [watcher.standings(), watcher.problems()];
  if (headers.accept?.includes('text/html') === true) {
    return reply.type('text/html; charset=utf-8').send(listPage(boats, problems, when));
  }
  const status = problems.length === 0 ? 'ok' : 'degraded';
  return reply.send({ status, version, problems, refused: watcher.refused, boats });
}

const LOOPBACK_HOST = /^(?:localhost|127\.0\.0\.1|\[::1\])(?::\d{1,5})?$/i;
const LOOPBACK_ADDRESS = /^(?:127\.|::1$|::ffff:127\.)/;

/** This computer itself, or whoever has the password. A proxy's visitors are not this computer. */
function maySeeList({ headers, ip }: FastifyRequest, password: string | undefined): boolean {
  if (password !== undefined && isPassword(headers.authorization, password)) return true;
  const isForwarded =
    headers['x-forwarded-for'] !== undefined || headers['forwarded'] !== undefined;
  return LOOPBACK_ADDRESS.test(ip) && !isForwarded && LOOPBACK_HOST.test(headers.host ?? '');
}

/** HTTP Basic (RFC 7617); the user's name does not matter. */
function isPassword(given: string | undefined, password: string): boolean {
  const encoded = /^Basic ([\w+/=]+)$/i.exec(given ?? '')?.[1];
  if (encoded === undefined) return false;
  const words = Buffer.from(encoded, 'base64').toString('utf8').split(':').slice(1).join(':');
  const digest = (text: string): Buffer => createHash('sha256').update(text).digest();
  return timingSafeEqual(digest(words), digest(password));
}

function askForPassword(reply: FastifyReply, hasPassword: boolean): FastifyReply {
  if (!hasPassword) {
    return reply.code(403).send({
      problem:
        'The list is shown on the computer that watches only; `watch.passwordSecret` names a password.',
    });
  }
  return reply
    .code(401)
    .header('www-authenticate', 'Basic realm="panelward ashore", charset="UTF-8"')
    .send({ problem: 'The list needs its password.' });
}
