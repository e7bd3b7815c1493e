/** The OpenAPI 3.1 document, made from the same zod schemas that the routes are held to. */
import swagger from '@fastify/swagger';
import type { FastifyInstance, FastifySchema } from 'fastify';
import { z } from 'zod';
import { jsonSchemaOf } from './zod-routes.ts';

/** Register before the routes. */
export async function addOpenapi(app: FastifyInstance, version: string): Promise<void> {
  await app.register(swagger, {
    openapi: {
      openapi: '3.1.0',
      info: {
        title: 'panelward',
        description:
          "What panelward knows of a boat's electrical panel. It informs and never switches anything; " +
          'it is no protective device and never proves that a circuit is dead.',
        version,
        license: { name: 'Apache-2.0', identifier: 'Apache-2.0' },
      },
      servers: [{ url: '/' }],
    },
    transform: ({ schema, url }) => ({ schema: schemaForDocument(schema), url }),
  });
}

function schemaForDocument(schema: FastifySchema | undefined): FastifySchema {
  const entries = Object.entries(schema ?? {}).map(([key, value]): [string, unknown] => {
    if (key === 'response') return [key, responsesForDocument(value)];
    return [key, value instanceof z.ZodType ? inDocument(value) : value];
  });
  return Object.fromEntries(entries);
}

function responsesForDocument(responses: unknown): Record<string, unknown> {
  if (typeof responses !== 'object' || responses === null) return {};
  return Object.fromEntries(
    Object.entries(responses).map(([status, schema]): [string, unknown] => [
      status,
      schema instanceof z.ZodType
        ? { ...inDocument(schema), 'x-response-description': meaningOf(status) }
        : schema,
    ]),
  );
}

function meaningOf(status: string): string {
  if (status === '200') return 'The answer.';
  if (status === '503') return 'Not now; the message says why.';
  return 'The request was refused; the message says why.';
}

/** The document says once which JSON Schema it speaks; its parts need not. */
function inDocument(schema: z.ZodType): object {
  const { $schema: _, ...rest } = jsonSchemaOf(schema);
  return rest;
}
