/**
 * Lets fastify take the contract's zod schemas as they are: they check what comes in, type what a
 * route may answer, and become the JSON schemas of the OpenAPI document.
 */
import type { FastifyInstance, FastifyTypeProvider } from 'fastify';
import { z } from 'zod';
import { problemWith } from './problem.ts';

export interface ZodTypes extends FastifyTypeProvider {
  validator: this['schema'] extends z.ZodType ? z.output<this['schema']> : unknown;
  serializer: this['schema'] extends z.ZodType ? z.input<this['schema']> : unknown;
}

/** A fastify whose routes are typed and checked by zod schemas. */
export type ZodFastify = ReturnType<typeof withZod>;

const PART_NAMES: Readonly<Record<string, string>> = {
  querystring: 'query',
  params: 'path',
  body: 'body',
};

/** Gives back the same fastify with zod as its judge. */
export function withZod(app: FastifyInstance) {
  app.setValidatorCompiler<z.ZodType>(({ schema, httpPart = '' }) => {
    const properties = propertiesOf(schema);
    const known = Object.keys(properties);
    return (given: unknown) => {
      const value = httpPart === 'querystring' ? withNumbers(given, properties) : given;
      const result = schema.safeParse(value);
      if (result.success) return { value: result.data };
      return {
        error: problemWith(PART_NAMES[httpPart] ?? httpPart, result.error.issues, value, known),
      };
    };
  });
  // Serializers made from a schema drop and convert in silence what does not fit it. Here what a
  // route answers is held to the schema by the compiler, and by tests, and is sent as it is.
  app.setSerializerCompiler(() => (answer) => JSON.stringify(answer));
  return app.withTypeProvider<ZodTypes>();
}

/** JSON Schema (2020-12, as OpenAPI 3.1 wants it) of what comes in. */
export function jsonSchemaOf(schema: z.ZodType): z.core.JSONSchema.JSONSchema {
  return z.toJSONSchema(schema, { target: 'draft-2020-12', io: 'input' });
}

type Properties = Readonly<Record<string, z.core.JSONSchema.JSONSchema | boolean>>;

function propertiesOf(schema: z.ZodType): Properties {
  return jsonSchemaOf(schema).properties ?? {};
}

/** A query is all text; where a number is expected, text that is a plain decimal becomes one. */
function withNumbers(given: unknown, properties: Properties): unknown {
  if (typeof given !== 'object' || given === null) return given;
  const entries = Object.entries(given).map(([key, value]): [string, unknown] => {
    const property = properties[key];
    const type = typeof property === 'object' ? property.type : undefined;
    const isNumeric = type === 'number' || type === 'integer';
    const isDecimal = typeof value === 'string' && /^-?\d+(\.\d+)?$/.test(value);
    return [key, isNumeric && isDecimal ? Number(value) : value];
  });
  return Object.fromEntries(entries);
}
