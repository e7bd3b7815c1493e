/**
 * How often one address may ask, by route: far more than a page and a person need, far less than
 * would wear the computer out. The screen of this computer is not counted.
 */
import rateLimit from '@fastify/rate-limit';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import { networkOf } from '../network-address.ts';
import { RequestProblem } from './problem.ts';

const MINUTE_MS = 60_000;
/** In a minute. */
const LOOKS_MAX = 600;
const ACTS_MAX = 60;
/** Each reads much of the disk. */
const LONG_ANSWERS_MAX = 12;
/** Above what the desk's own throttle lets through; this is for the work of saying no. */
const SIGN_INS_MAX = 20;

const LONG_ANSWERS: ReadonlySet<string> = new Set(['/api/v1/export', '/api/v1/survey']);
const SIGN_INS: ReadonlySet<string> = new Set([
  '/api/v1/sign-in',
  '/api/v1/set-up',
  '/api/v1/session/fresh',
  '/api/v1/own-password',
]);

/** Register after the role guard and before the routes. */
export async function addRateLimits(app: FastifyInstance): Promise<void> {
  app.addHook('onRoute', (route) => {
    const max = limitFor([route.method].flat(), route.url);
    route.config = { ...route.config, rateLimit: { max, timeWindow: MINUTE_MS } };
  });
  await app.register(rateLimit, {
    keyGenerator: ({ visitor }: FastifyRequest) => networkOf(visitor.address),
    allowList: ({ visitor }: FastifyRequest) => visitor.isLocal,
    errorResponseBuilder: (_request, { ttl }) =>
      new RequestProblem(
        429,
        `There were too many requests from this address. Wait ${Math.ceil(ttl / 1000)} s.`,
      ),
  });
}

function limitFor(methods: readonly string[], url: string): number {
  if (SIGN_INS.has(url)) return SIGN_INS_MAX;
  if (LONG_ANSWERS.has(url)) return LONG_ANSWERS_MAX;
  return methods.includes('POST') ? ACTS_MAX : LOOKS_MAX;
}
