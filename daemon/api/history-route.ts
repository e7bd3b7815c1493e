/** GET /api/v1/history: checks the question, and lets only so many read the disk at once. */
import type { z } from 'zod';
import {
  errorAnswerSchema,
  historyAnswerSchema,
  type HistoryAnswer,
  type HistoryQuery,
  historyQuerySchema,
  type PointDescription,
} from './contract.ts';
import type { ApiParts } from './parts.ts';
import { namedPoints, quoted } from './point-names.ts';
import { RequestProblem } from './problem.ts';
import { Turnstile } from './turnstile.ts';
import type { ZodFastify } from './zod-routes.ts';

const POINTS_MAX = 64;
/** Buckets of all series together: some 5 MB of JSON. */
const BUCKETS_MAX = 100_000;
/** Reading years of history takes a while; the watch needs the processor more than a chart does. */
const READERS_MAX = 2;
const QUEUE_MAX = 16;

export function addHistoryRoute(
  app: ZodFastify,
  parts: ApiParts,
  log: (line: string) => void,
): void {
  const turnstile = new Turnstile(
    READERS_MAX,
    QUEUE_MAX,
    'Too many charts are being read at once.',
  );
  app.get(
    '/api/v1/history',
    {
      schema: {
        summary: 'Readings over a time, as least, greatest and mean of equal buckets',
        querystring: historyQuerySchema,
        response: { 200: historyAnswerSchema, '4xx': errorAnswerSchema, 503: errorAnswerSchema },
      },
    },
    async (request, reply): Promise<HistoryAnswer> => {
      const asked = pointsAsked(request.query, parts.points());
      const gone = new AbortController();
      reply.raw.once('close', () => gone.abort());
      const leave = await turnstile.enter(gone.signal);
      try {
        return await read(parts, request.query, asked, gone.signal);
      } catch (error) {
        if (gone.signal.aborted) throw new RequestProblem(499, 'The client went away.');
        log(`The history could not be read: ${String(error)}`);
        throw new RequestProblem(503, 'The history of that time cannot be read from the disk.');
      } finally {
        leave();
      }
    },
  );
}

async function read(
  parts: ApiParts,
  { from, to, buckets }: z.output<typeof historyQuerySchema>,
  asked: readonly PointDescription[],
  signal: AbortSignal,
): Promise<HistoryAnswer> {
  const points = asked.map(({ id }) => id);
  const units = new Map(asked.map(({ id, unit }) => [id, unit]));
  const { series, ...frame } = await parts.record.history(
    { points, fromMs: from, toMs: to, buckets },
    signal,
  );
  return {
    ...frame,
    series: series.map(({ pointId, buckets: found }) => ({
      pointId,
      unit: units.get(pointId) ?? '',
      buckets: found,
    })),
  };
}

/** The points by their names, in the order asked; throws what is wrong with the question. */
function pointsAsked(
  { points, from, to, buckets }: HistoryQuery,
  known: readonly PointDescription[],
): PointDescription[] {
  const ids = [...new Set(points.split(',').map((id) => id.trim()))];
  if (ids.length > POINTS_MAX) {
    throw new RequestProblem(400, `At most ${POINTS_MAX} points can be asked for at once.`, {
      found: String(ids.length),
    });
  }
  if (ids.length * buckets > BUCKETS_MAX) {
    throw new RequestProblem(400, 'Too many buckets: ask for fewer points or fewer buckets.', {
      expected: `points x buckets at most ${BUCKETS_MAX}`,
      found: `${ids.length} x ${buckets}`,
    });
  }
  if (to <= from) throw new RequestProblem(400, '`to` must be after `from`.');
  const asked = namedPoints(points, known);
  const words = asked.filter(({ quantity }) => quantity === 'position' || quantity === 'switch');
  if (words.length === 0) return asked;
  throw new RequestProblem(
    400,
    `Positions are words and have no chart: ${quoted(words.map(({ id }) => id))}. Their changes are in /api/v1/events.`,
  );
}
