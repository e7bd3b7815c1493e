/** GET /api/v1/survey and /api/v1/bands: what a span came to, and what happened in it. */
import {
  bandsAnswerSchema,
  bandsQuerySchema,
  errorAnswerSchema,
  type SurveyAnswer,
  surveyAnswerSchema,
  surveyQuerySchema,
} from './contract.ts';
import { bandsOf } from './bands.ts';
import type { ApiParts } from './parts.ts';
import { RequestProblem } from './problem.ts';
import { Turnstile } from './turnstile.ts';
import type { ZodFastify } from './zod-routes.ts';

const SURVEY_MOST_DAYS = 1100;
/** One at a time: it may read hours of readings, and the watch needs the processor more. */
const SURVEYS_MAX = 1;
const QUEUE_MAX = 4;

export function addSurveyRoute(
  app: ZodFastify,
  parts: ApiParts,
  log: (line: string) => void,
): void {
  const turnstile = new Turnstile(
    SURVEYS_MAX,
    QUEUE_MAX,
    'Too many surveys are asked for at once.',
  );
  app.get(
    '/api/v1/survey',
    {
      schema: {
        summary: 'The load survey of a span: energy, run time, starts, demand, load duration',
        description:
          'Per source, bus, circuit, battery and point, each with its coverage. It counts what was ' +
          'known; what lay in gaps is not made up for.',
        querystring: surveyQuerySchema,
        response: { 200: surveyAnswerSchema, '4xx': errorAnswerSchema, 503: errorAnswerSchema },
      },
    },
    async (request, reply): Promise<SurveyAnswer> => {
      const { from, to } = request.query;
      checkSpan(from, to);
      const gone = new AbortController();
      reply.raw.once('close', () => gone.abort());
      const leave = await turnstile.enter(gone.signal);
      try {
        return await parts.survey(from, to, gone.signal);
      } catch (error) {
        if (gone.signal.aborted) throw new RequestProblem(499, 'The client went away.');
        log(`The survey could not be made: ${String(error)}`);
        throw new RequestProblem(503, 'The history of that time cannot be read from the disk.');
      } finally {
        leave();
      }
    },
  );
  app.get(
    '/api/v1/bands',
    {
      schema: {
        summary: 'Alerts and changes of sources over a span, to be drawn beside a chart',
        querystring: bandsQuerySchema,
        response: { 200: bandsAnswerSchema, '4xx': errorAnswerSchema },
      },
    },
    async ({ query }) => {
      if (query.to <= query.from) throw new RequestProblem(400, '`to` must be after `from`.');
      return bandsOf(parts, query);
    },
  );
}

function checkSpan(from: number, to: number): void {
  if (to <= from) throw new RequestProblem(400, '`to` must be after `from`.');
  if (to - from <= SURVEY_MOST_DAYS * 86_400_000) return;
  throw new RequestProblem(400, 'That is too long a span for one survey.', {
    expected: `at most ${SURVEY_MOST_DAYS} days`,
    found: `${Math.ceil((to - from) / 86_400_000)} days`,
  });
}
