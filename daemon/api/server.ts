/** The bare HTTP server: its bounds, and one shape for every error, wherever it arises. */
import fastify, { type FastifyInstance, type FastifyServerFactory } from 'fastify';
import type { RequestListener } from 'node:http';
import { createServer, type Server } from 'node:https';
import { ConnectionGate, GATE_LIMITS } from './connection-gate.ts';
import { SECURITY_HEADERS } from './guards.ts';
import { answerTo, errorAnswer, RequestProblem } from './problem.ts';

const BODY_BYTES_MAX = 64 * 1024;
/** The longest alert id, percent-encoded. */
const PARAMETER_LENGTH_MAX = 900;
/** A client that sends its request more slowly, or is silent longer, is let go. */
const PATIENCE_MS = 30_000;
/** Who has not even said by then what is wanted, as a browser does at once, is let go earlier. */
const WAITING = { headersTimeout: 10_000, connectionsCheckingInterval: 2000 };
/** Connections that the gate has just closed count until they are gone. */
const CONNECTIONS_AT_ONCE_MAX = 4 * GATE_LIMITS.all;

/** A certificate with its chain, and its key, as PEM texts. */
export interface TlsFiles {
  cert: string;
  key: string;
  /** Every browser knows who vouches for it, so browsers may be told to use nothing else. */
  isStrict: boolean;
}

export function newServer(log: (line: string) => void, tls?: TlsFiles): FastifyInstance {
  const byTls: { serverFactory?: FastifyServerFactory } =
    tls === undefined ? {} : { serverFactory: (answer) => tlsServer(tls, answer) };
  const app = fastify({
    ...byTls,
    http: WAITING,
    logger: false,
    bodyLimit: BODY_BYTES_MAX,
    requestTimeout: PATIENCE_MS,
    connectionTimeout: PATIENCE_MS,
    keepAliveTimeout: 15_000,
    forceCloseConnections: true,
    routerOptions: { maxParamLength: PARAMETER_LENGTH_MAX },
    clientErrorHandler: (_error, socket) => {
      const answer = JSON.stringify(errorAnswer('This is not a valid HTTP request.'));
      if (socket.writable) socket.end(badRequest(answer));
      else socket.destroy();
    },
    frameworkErrors: (error, _request, reply) => {
      const { status, answer } = answerTo(error);
      reply.hijack();
      reply.raw.writeHead(status, { ...SECURITY_HEADERS, 'content-type': JSON_TYPE });
      reply.raw.end(JSON.stringify(answer));
    },
  });
  app.server.maxConnections = CONNECTIONS_AT_ONCE_MAX;
  new ConnectionGate().guard(app.server);
  app.removeContentTypeParser('text/plain');
  app.setErrorHandler((error, request, reply) => {
    const { status, answer } = answerTo(error);
    if (status === 500) {
      const said = error instanceof Error ? (error.stack ?? error.message) : String(error);
      log(`${request.method} ${request.routeOptions.url ?? ''} failed: ${said}`);
    }
    return reply.code(status).type(JSON_TYPE).send(answer);
  });
  app.setNotFoundHandler((request) => {
    throw new RequestProblem(404, 'There is nothing at this address.', {
      found: `${request.method} ${request.url.slice(0, 200)}`,
    });
  });
  return app;
}

/** As fastify would make it, whose own bounds do not reach a server from elsewhere. */
function tlsServer({ cert, key }: TlsFiles, answer: RequestListener): Server {
  const server = createServer(
    { cert, key, minVersion: 'TLSv1.2', handshakeTimeout: 10_000, ...WAITING },
    answer,
  );
  server.requestTimeout = PATIENCE_MS;
  server.keepAliveTimeout = 15_000;
  server.timeout = PATIENCE_MS;
  return server;
}

/** Collects, from now on, which methods each address takes. */
export function methodsByUrl(app: FastifyInstance): ReadonlyMap<string, readonly string[]> {
  const urls = new Map<string, string[]>();
  app.addHook('onRoute', ({ url, method }) => {
    urls.set(url, [...(urls.get(url) ?? []), ...[method].flat()]);
  });
  return urls;
}

/** 405 with what is allowed, where an address is known but not with this method. */
export function refuseOtherMethods(
  app: FastifyInstance,
  urls: ReadonlyMap<string, readonly string[]>,
): void {
  for (const [url, allowed] of new Map(urls)) {
    app.route({
      method: app.supportedMethods.filter((method) => !allowed.includes(method)),
      url,
      exposeHeadRoute: false,
      config: { isRefusal: true },
      schema: { hide: true },
      onRequest: async (request, reply) => {
        reply.header('allow', allowed.join(', '));
        throw new RequestProblem(405, `This address does not take ${request.method}.`, {
          expected: allowed.join(' or '),
          found: request.method,
        });
      },
      handler: () => {},
    });
  }
}

/** Open connections, the one that asks included. */
export function connectionsOf(app: FastifyInstance): Promise<number> {
  return new Promise((resolve, reject) => {
    app.server.getConnections((error, count) => {
      if (error === null) resolve(count);
      else reject(error);
    });
  });
}

const JSON_TYPE = 'application/json; charset=utf-8';

function badRequest(answer: string): string {
  return [
    'HTTP/1.1 400 Bad Request',
    `Content-Type: ${JSON_TYPE}`,
    `Content-Length: ${Buffer.byteLength(answer)}`,
    'Connection: close',
    '',
    answer,
  ].join('\r\n');
}
