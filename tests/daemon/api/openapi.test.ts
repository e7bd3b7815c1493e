/** The OpenAPI document: its structure, and that its schemas hold for what the routes answer. */
import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { alertWith } from '../store/fixtures.ts';
import { ask, START_MS, started } from './fixtures.ts';

const schemaShape = z.record(z.string(), z.json());
const operationShape = z.object({
  summary: z.string().min(10),
  parameters: z
    .array(
      z.object({
        in: z.enum(['query', 'path']),
        name: z.string(),
        required: z.boolean(),
        schema: schemaShape,
      }),
    )
    .optional(),
  requestBody: z
    .object({ content: z.object({ 'application/json': z.object({ schema: schemaShape }) }) })
    .optional(),
  responses: z.record(
    z.string().regex(/^([1-5]\d\d|[1-5]XX|default)$/),
    z.object({
      description: z.string().min(5),
      content: z.record(z.string(), z.object({ schema: schemaShape })),
    }),
  ),
});
const documentShape = z.object({
  openapi: z.literal('3.1.0'),
  info: z.object({ title: z.literal('panelward'), version: z.literal('0.1.0') }),
  paths: z.record(
    z.string().startsWith('/'),
    z.partialRecord(z.enum(['get', 'post']), operationShape),
  ),
});

const PATHS = [
  '/api/v1/alerts',
  '/api/v1/alerts/{id}',
  '/api/v1/alerts/{id}/acknowledge',
  '/api/v1/alerts/{id}/in-service',
  '/api/v1/alerts/{id}/inspected',
  '/api/v1/alerts/{id}/out-of-service',
  '/api/v1/alerts/{id}/shelve',
  '/api/v1/alerts/{id}/silence',
  '/api/v1/alerts/{id}/unshelve',
  '/api/v1/audit',
  '/api/v1/bands',
  '/api/v1/boat',
  '/api/v1/events',
  '/api/v1/export',
  '/api/v1/health',
  '/api/v1/history',
  '/api/v1/live',
  '/api/v1/load-plan',
  '/api/v1/mode',
  '/api/v1/own-password',
  '/api/v1/panel',
  '/api/v1/parts/{id}/why-dead',
  '/api/v1/persons',
  '/api/v1/persons/{number}/password',
  '/api/v1/persons/{number}/remove',
  '/api/v1/persons/{number}/role',
  '/api/v1/points',
  '/api/v1/push-subscriptions',
  '/api/v1/push-subscriptions/end',
  '/api/v1/session',
  '/api/v1/session/fresh',
  '/api/v1/sessions',
  '/api/v1/sessions/{number}/end',
  '/api/v1/set-up',
  '/api/v1/sign-in',
  '/api/v1/sign-out',
  '/api/v1/statements',
  '/api/v1/survey',
  '/api/v1/ways',
  '/api/v1/ways/{id}/test',
  '/healthz',
  '/metrics',
];

async function served() {
  const all = await started();
  const answered = await ask(all.api, '/openapi.json');
  expect(answered.headers['content-type']).toBe('application/json; charset=utf-8');
  return { ...all, text: answered.text, document: documentShape.parse(JSON.parse(answered.text)) };
}

describe('GET /openapi.json', () => {
  it('describes every route, and every part of each', async () => {
    const { document } = await served();
    expect(Object.keys(document.paths).sort()).toEqual(PATHS);
    for (const [path, operations] of Object.entries(document.paths)) {
      const names = [...path.matchAll(/\{(\w+)\}/g)].map((match) => match[1]);
      for (const operation of Object.values(operations)) {
        expect(Object.keys(operation?.responses ?? {})).toContain('200');
        const inPath = operation?.parameters?.filter((parameter) => parameter.in === 'path') ?? [];
        expect(inPath.map(({ name }) => name)).toEqual(names);
        expect(inPath.every(({ required }) => required)).toBe(true);
      }
    }
  });

  it('speaks JSON Schema 2020-12 and leaves no reference open', async () => {
    const { text } = await served();
    expect(text).not.toContain('"$schema"');
    expect(text).not.toContain('"definitions"');
    for (const [, target = ''] of text.matchAll(/"\$ref":"([^"]+)"/g)) {
      expect(target).toMatch(/^#\/components\/schemas\//);
    }
    // Tuples are `prefixItems` there; an array of `items` was the way of older drafts.
    expect(text).not.toMatch(/"items":\[/);
    expect(text).toContain('"prefixItems"');
  });

  it('names the limits and defaults of a query', async () => {
    const { document } = await served();
    const parameters = document.paths['/api/v1/alerts']?.get?.parameters ?? [];
    expect(parameters.find(({ name }) => name === 'limit')).toMatchObject({
      in: 'query',
      required: false,
      schema: { type: 'integer', minimum: 1, maximum: 1000, default: 100 },
    });
    expect(parameters.find(({ name }) => name === 'phase')?.schema).toMatchObject({
      enum: ['open', 'past', 'all'],
      default: 'open',
    });
    const history = document.paths['/api/v1/history']?.get?.parameters ?? [];
    const required = history.filter((parameter) => parameter.required).map(({ name }) => name);
    expect(required.sort()).toEqual(['from', 'points', 'to']);
  });

  it('describes what the routes really answer', async () => {
    const { api, daemon, document } = await served();
    daemon.happens(alertWith({ id: 'a#1' }), 'raised');
    daemon.store.addReading({ pointId: 'main-a-l1-amps', value: 5, atMs: START_MS });
    const history = `?points=main-a-l1-amps&from=${START_MS}&to=${START_MS + 1000}`;
    const asked = {
      '/api/v1/panel': '/api/v1/panel',
      '/api/v1/parts/{id}/why-dead': '/api/v1/parts/house-bus/why-dead',
      '/api/v1/alerts': '/api/v1/alerts',
      '/api/v1/alerts/{id}': '/api/v1/alerts/a%231',
      '/api/v1/boat': '/api/v1/boat',
      '/api/v1/events': '/api/v1/events',
      '/api/v1/health': '/api/v1/health',
      '/api/v1/history': `/api/v1/history${history}`,
      '/api/v1/points': '/api/v1/points',
      '/healthz': '/healthz',
    };
    for (const [path, url] of Object.entries(asked)) {
      const described = document.paths[path]?.get?.responses['200']?.content['application/json'];
      const schema = z.fromJSONSchema(described?.schema ?? {}, { defaultTarget: 'draft-2020-12' });
      const answer: unknown = JSON.parse((await ask(api, url)).text);
      expect(schema.safeParse(answer).error, path).toBeUndefined();
      expect(schema.safeParse({ something: 'else' }).success, path).toBe(false);
    }
  });
});
