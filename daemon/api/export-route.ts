/** GET /api/v1/export: recorded readings as a file, of any size, as fast as the client takes it. */
import { Readable } from 'node:stream';
import {
  errorAnswerSchema,
  type ExportQuery,
  exportQuerySchema,
  type PointDescription,
} from './contract.ts';
import type { ApiParts } from './parts.ts';
import { namedPoints } from './point-names.ts';
import { RequestProblem } from './problem.ts';
import { Turnstile } from './turnstile.ts';
import type { ZodFastify } from './zod-routes.ts';

/** Each holds one hour of its points in memory and takes its share of the processor. */
const EXPORTS_MAX = 2;
const MEDIA_TYPES = {
  csv: 'text/csv; charset=utf-8; header=present',
  jsonl: 'application/jsonl; charset=utf-8',
} as const;
/** Text that waits for a slow client. */
const WAITING_BYTES = 64 * 1024;

export function addExportRoute(
  app: ZodFastify,
  parts: ApiParts,
  log: (line: string) => void,
): void {
  const turnstile = new Turnstile(EXPORTS_MAX, 0, 'Two exports run already.');
  const text = { type: 'string' };
  app.get(
    '/api/v1/export',
    {
      exposeHeadRoute: false,
      schema: {
        summary: 'Recorded readings as a file: CSV or JSON lines',
        description:
          'Every reading of the points as it came, instants in UTC (ISO 8601), units in the header, ' +
          'gaps empty. `from` and `to` are instants of the daemon. The connection is broken off ' +
          'where the record cannot be read to its end; a whole file ends with its last chunk.',
        querystring: exportQuerySchema,
        response: {
          200: {
            description: 'The file.',
            content: { 'text/csv': { schema: text }, 'application/jsonl': { schema: text } },
          },
          '4xx': errorAnswerSchema,
          503: errorAnswerSchema,
        },
      },
    },
    async (request, reply) => {
      const { from, to, format } = request.query;
      const points = pointsOf(request.query, parts.points());
      const gone = new AbortController();
      reply.raw.once('close', () => gone.abort());
      const leave = await turnstile.enter(gone.signal);
      const pieces = parts.exportText({ format, points, fromMs: from, toMs: to }, gone.signal);
      try {
        // What cannot be read at all is answered, and not broken off.
        const first = await pieces.next();
        const rest = Readable.from(afterFirst(first, pieces), {
          objectMode: false,
          highWaterMark: WAITING_BYTES,
        });
        // Also when the client goes away before it has taken anything.
        rest.once('close', () => {
          leave();
          void pieces.return(undefined).catch(() => {});
        });
        rest.on('error', (error) => {
          if (!gone.signal.aborted) log(`An export ended too early: ${String(error)}`);
        });
        reply.type(MEDIA_TYPES[format]);
        reply.header(
          'content-disposition',
          `attachment; filename="${fileName(parts, request.query)}"`,
        );
        reply.header('cache-control', 'no-store');
        return await reply.send(rest);
      } catch (error) {
        leave();
        if (gone.signal.aborted) throw new RequestProblem(499, 'The client went away.');
        log(`The history could not be exported: ${String(error)}`);
        throw new RequestProblem(503, 'The history of that time cannot be read from the disk.');
      }
    },
  );
}

async function* afterFirst(
  first: IteratorResult<string>,
  rest: AsyncGenerator<string>,
): AsyncGenerator<string> {
  if (first.done === true) return;
  yield first.value;
  yield* rest;
}

function pointsOf(
  { points, from, to }: ExportQuery,
  known: readonly PointDescription[],
): PointDescription[] {
  if (to <= from) throw new RequestProblem(400, '`to` must be after `from`.');
  return points === undefined ? [...known] : namedPoints(points, known);
}

/** `panelward-Sable-Plover-20260801T1150Z-20260801T1210Z.csv`: boat and span in UTC. */
function fileName(parts: ApiParts, { from, to, format }: ExportQuery): string {
  const boat = parts
    .boat()
    .name.normalize('NFKD')
    .replaceAll(/[^A-Za-z0-9]+/g, '-')
    .replaceAll(/^-+|-+$/g, '');
  const at = (ms: number): string => {
    const utc = new Date(Math.min(parts.record.axis().utcMsOf(ms), LAST_MS));
    return `${utc.toISOString().slice(0, 16).replaceAll(/[-:]/g, '')}Z`;
  };
  return (
    [`panelward`, boat, at(from), at(to)].filter((each) => each !== '').join('-') + `.${format}`
  );
}

/** The end of the year 9999: later instants have no name. */
const LAST_MS = Date.UTC(9999, 11, 31);
