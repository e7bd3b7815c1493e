/** The routes under /api/v1 but for the history, and /healthz. Each is a few lines over the parts. */
import {
  alertAnswerSchema,
  alertParamsSchema,
  alertsAnswerSchema,
  alertsQuerySchema,
  boatAnswerSchema,
  errorAnswerSchema,
  eventsAnswerSchema,
  eventsQuerySchema,
  healthAnswerSchema,
  healthzAnswerSchema,
  panelStateSchema,
  pointsAnswerSchema,
} from './contract.ts';
import { z } from 'zod';
import { addActRoutes } from './act-routes.ts';
import { alertsFor } from './alert-search.ts';
import type { ApiParts } from './parts.ts';
import { RequestProblem, unknownAlert } from './problem.ts';
import type { ZodFastify } from './zod-routes.ts';

const NO_QUERY = z.strictObject({});
const PROBLEMS = { '4xx': errorAnswerSchema } as const;

export function addRoutes(app: ZodFastify, parts: ApiParts): void {
  addPanelRoutes(app, parts);
  addAlertRoutes(app, parts);
  addActRoutes(app, parts);
  addHealthRoutes(app, parts);
}

function addPanelRoutes(app: ZodFastify, parts: ApiParts): void {
  app.get(
    '/api/v1/panel',
    {
      schema: {
        summary: 'The panel as panelward believes it to be now',
        querystring: NO_QUERY,
        response: { 200: panelStateSchema, ...PROBLEMS, 503: errorAnswerSchema },
      },
    },
    async () => {
      const panel = parts.panel();
      if (panel !== null) return panel;
      throw new RequestProblem(
        503,
        'The panel has not been worked out yet. Try again in a second.',
      );
    },
  );
  app.get(
    '/api/v1/events',
    {
      schema: {
        summary: 'What happened at the panel, newest first',
        description:
          'Events of one instant are never parted, so there can be a few more than `limit`.',
        querystring: eventsQuerySchema,
        response: { 200: eventsAnswerSchema, ...PROBLEMS },
      },
    },
    async ({ query }) => ({ events: parts.record.panelEvents(query) }),
  );
  app.get(
    '/api/v1/points',
    {
      schema: {
        summary: 'What is measured',
        querystring: NO_QUERY,
        response: { 200: pointsAnswerSchema, ...PROBLEMS },
      },
    },
    async () => ({ points: parts.points() }),
  );
  app.get(
    '/api/v1/boat',
    {
      schema: {
        summary: 'Which boat this is, and which panelward',
        querystring: NO_QUERY,
        response: { 200: boatAnswerSchema, ...PROBLEMS },
      },
    },
    async () => parts.boat(),
  );
}

function addAlertRoutes(app: ZodFastify, parts: ApiParts): void {
  app.get(
    '/api/v1/alerts',
    {
      schema: {
        summary: 'Alerts: the open ones, those that are over, or both; a search in them',
        description:
          'Alerts raised at one instant are never parted, so there can be a few more than `limit`; ' +
          'the next page is `before` the least `raisedAtMs` of this one, and an empty page is the end.',
        querystring: alertsQuerySchema,
        response: { 200: alertsAnswerSchema, ...PROBLEMS },
      },
    },
    async ({ query }) => ({ alerts: await alertsFor(parts, query) }),
  );
  app.get(
    '/api/v1/alerts/:id',
    {
      schema: {
        summary: 'One alert and what befell it',
        params: alertParamsSchema,
        querystring: NO_QUERY,
        response: { 200: alertAnswerSchema, ...PROBLEMS },
      },
    },
    async ({ params: { id } }) => {
      const alert = parts.openAlerts().find((open) => open.id === id) ?? parts.record.alert(id);
      if (alert === null) throw unknownAlert(id);
      return { alert, events: parts.record.alertEvents(id) };
    },
  );
}

function addHealthRoutes(app: ZodFastify, parts: ApiParts): void {
  app.get(
    '/api/v1/health',
    {
      schema: {
        summary: 'What comes in, what was refused, what is on the disk',
        querystring: NO_QUERY,
        response: { 200: healthAnswerSchema, ...PROBLEMS },
      },
    },
    async () => parts.health(),
  );
  app.get(
    '/healthz',
    {
      schema: {
        summary: 'For a supervisor: 200 while all is well',
        querystring: NO_QUERY,
        response: { 200: healthzAnswerSchema, ...PROBLEMS, 503: healthzAnswerSchema },
      },
    },
    async (_request, reply) => {
      const { status, problems } = parts.health();
      if (status === 'ok') return { status };
      return reply.code(503).send({ status, problems });
    },
  );
}
