/**
 * The HTTP side of the daemon: the API under /api/v1, the live stream, metrics, the OpenAPI
 * document and the page.
 */
import type { FastifyInstance } from 'fastify';
import type { Clock } from '../clock.ts';
import { addExportRoute } from './export-route.ts';
import { addGuards } from './guards.ts';
import { addHistoryRoute } from './history-route.ts';
import { DEFAULT_HOST, listen, pageAddress } from './listening.ts';
import { addLiveRoute } from './live-route.ts';
import { LiveStream } from './live-stream.ts';
import { type Metrics, startMetrics } from './metrics.ts';
import { addLoadPlanRoute } from './load-plan-route.ts';
import { addOpenapi } from './openapi.ts';
import { addPage } from './page.ts';
import type { ApiParts } from './parts.ts';
import { NO_POST } from './parts.ts';
import { addPostRoutes } from './post-routes.ts';
import { addRoutes } from './routes.ts';
import { addPersonRoutes } from './person-routes.ts';
import { addRateLimits } from './rate-limits.ts';
import { addRoleGuard } from './role-guard.ts';
import { addSayingRoutes } from './saying-routes.ts';
import { addSignInRoutes } from './sign-in-routes.ts';
import { addSurveyRoute } from './survey-route.ts';
import { addWhyDeadRoute } from './why-dead-route.ts';
import {
  connectionsOf,
  methodsByUrl,
  newServer,
  refuseOtherMethods,
  type TlsFiles,
} from './server.ts';
import { type ApiAccess, LOCAL_ONLY } from './visitors.ts';
import { withZod } from './zod-routes.ts';

export type { ApiAccess } from './visitors.ts';
export { DEFAULT_HOST, isLoopback, ListenProblem, WHY_LOOPBACK } from './listening.ts';
export type { Acknowledgement, ApiParts, Update } from './parts.ts';

export interface ApiOptions {
  parts: ApiParts;
  clock: Clock;
  /** Default: this computer only. */
  host?: string;
  /** 0: any free port. */
  port: number;
  /** Folder of the built page. */
  pageFolder: string;
  /** Who may do what; without it this computer may do all, and the network nothing. */
  access?: ApiAccess;
  /** PEM texts, where the page is offered by TLS. */
  tls?: TlsFiles;
  /** Host names by which the page may be called besides this computer's addresses. */
  names?: readonly string[];
  log: (line: string) => void;
  version: string;
}

export interface Api {
  /** Where a browser on this computer finds the page, e.g. `http://127.0.0.1:8080`. */
  address: string;
  port: number;
  /** Ends every connection and the server. */
  stop(): Promise<void>;
}

/** Answers once it listens. Throws ListenProblem when the address is taken or not to be had. */
export async function startApi(options: ApiOptions): Promise<Api> {
  const { parts, clock, log, host = DEFAULT_HOST } = options;
  const app = newServer(log, options.tls);
  const stream = new LiveStream(parts, clock);
  const metrics = startMetrics(
    parts,
    () => connectionsOf(app),
    () => stream.clients,
  );
  const stop = async (): Promise<void> => {
    stream.stop();
    metrics.stop();
    await app.close();
  };
  try {
    await addAll(app, options, stream, metrics);
    const port = await listen(app, host, options.port);
    return { address: pageAddress(host, port, options.tls !== undefined), port, stop };
  } catch (error) {
    await stop();
    throw error;
  }
}

async function addAll(
  app: FastifyInstance,
  options: ApiOptions,
  stream: LiveStream,
  metrics: Metrics,
): Promise<void> {
  const { parts, pageFolder, names = [], host = DEFAULT_HOST, log, version } = options;
  const { access = LOCAL_ONLY } = options;
  addGuards(app, [...names, host], options.tls?.isStrict === true);
  await addRoleGuard(app, access);
  await addRateLimits(app);
  await addOpenapi(app, version);
  const urls = methodsByUrl(app);
  const routed = withZod(app);
  addRoutes(routed, parts);
  addSayingRoutes(routed, parts);
  addPostRoutes(routed, parts.post ?? NO_POST);
  addWhyDeadRoute(routed, parts);
  addLoadPlanRoute(routed, parts);
  addHistoryRoute(routed, parts, log);
  addSurveyRoute(routed, parts, log);
  addExportRoute(routed, parts, log);
  addLiveRoute(routed, stream, access);
  addSignInRoutes(routed, access);
  addPersonRoutes(routed, access);
  addMetricsRoute(app, metrics);
  app.get('/openapi.json', { schema: { hide: true } }, async () => app.swagger());
  refuseOtherMethods(app, urls);
  await addPage(app, pageFolder);
}

function addMetricsRoute(app: FastifyInstance, metrics: Metrics): void {
  const text = {
    description: 'OpenMetrics text.',
    content: { [metrics.contentType]: { schema: { type: 'string' } } },
  };
  app.get(
    '/metrics',
    { schema: { summary: 'Counts and gauges for a monitoring system', response: { 200: text } } },
    async (_request, reply) => reply.type(metrics.contentType).send(await metrics.text()),
  );
}
