/**
 * The JSON Schema that editors use. It is made from the zod schema and committed; after a change,
 * write it anew with
 *
 *     npx vitest run --config tests/vitest.config.ts tests/rules/boat/boat-file-schema.test.ts -u
 */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import * as fc from 'fast-check';
import { fastify } from 'fastify';
import { format, resolveConfig } from 'prettier';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import * as z from 'zod';
import { boatFileSchema } from '../../../rules/boat/file-schema.ts';
import { LIMITS } from '../../../rules/boat/limits.ts';
import { DEMO_BOATS, demoText } from './boat-texts.ts';

const FILE = fileURLToPath(new URL('../../../rules/boat/boat-file.schema.json', import.meta.url));

/** Draft 7 is what the YAML support of the common editors reads. */
const jsonSchema = z.toJSONSchema(boatFileSchema, { target: 'draft-7' });

/** An independent judge: the JSON Schema validator behind fastify, with nothing mended on the way. */
async function judge(): Promise<(content: unknown) => Promise<boolean>> {
  const server = fastify({
    ajv: { customOptions: { removeAdditional: false, coerceTypes: false, useDefaults: false } },
  });
  server.post('/', { schema: { body: jsonSchema } }, () => 'right');
  await server.ready();
  return async (content) => {
    const { statusCode } = await server.inject({
      method: 'POST',
      url: '/',
      headers: { 'content-type': 'application/json' },
      payload: JSON.stringify(content),
    });
    return statusCode === 200;
  };
}

/** What somebody might write in place of anything else. */
const JUNK: readonly unknown[] = [
  null,
  true,
  0,
  -1,
  1,
  12,
  16.5,
  99_999,
  '',
  'x',
  '50A',
  'nothing',
  'OFF',
  [],
  ['L1'],
  {},
  { amps: 20 },
  { kind: 'solar' },
];

type Content = Record<string, unknown>;

function isMap(value: unknown): value is Content {
  return typeof value === 'object' && value !== null;
}

/** Every place in a parsed file. */
function pathsIn(value: unknown, path: string[] = []): string[][] {
  if (!isMap(value)) return [path];
  const deeper = Object.entries(value).flatMap(([key, own]) => pathsIn(own, [...path, key]));
  return [path, ...deeper];
}

function changed(content: unknown, path: string[], other: unknown): unknown {
  const copy: unknown = structuredClone(content);
  const owner = path
    .slice(0, -1)
    .reduce((at: unknown, key) => (isMap(at) ? at[key] : undefined), copy);
  if (isMap(owner)) owner[path.at(-1) ?? ''] = other;
  return copy;
}

describe('the JSON Schema of the boat file', () => {
  it('is what the code says', async () => {
    const config = await resolveConfig(FILE);
    const text = await format(JSON.stringify(jsonSchema), { ...config, filepath: FILE });
    await expect(text).toMatchFileSnapshot(FILE);
  });

  it.each(DEMO_BOATS)('stands on the first line of %s and takes it', async (name) => {
    const text = demoText(name);
    const [first] = text.split('\n');
    expect(first).toBe('# yaml-language-server: $schema=../../rules/boat/boat-file.schema.json');
    const isRight = await judge();
    expect(await isRight(parse(text))).toBe(true);
  });

  it.each(DEMO_BOATS)('judges %s with anything changed as the daemon does', async (name) => {
    const isRight = await judge();
    const content: unknown = parse(demoText(name));
    const junk = fc.constantFrom(...JUNK);
    const path = fc.constantFrom(...pathsIn(content).filter((own) => own.length > 0));
    await fc.assert(
      fc.asyncProperty(path, junk, fc.boolean(), async (at, other, isNewKey) => {
        const where = isNewKey ? [...at.slice(0, -1), 'zzz'] : at;
        const wrong = changed(content, where, other);
        expect(await isRight(wrong)).toBe(boatFileSchema.safeParse(wrong).success);
      }),
      { numRuns: 150 },
    );
  });

  it('helps at every key, and names the default of every limit', () => {
    const text = readFileSync(FILE, 'utf8');
    const keys = [...text.matchAll(/"properties": \{/g)].length;
    expect(keys).toBeGreaterThan(15);
    expect(undescribed(jsonSchema)).toEqual([]);
    for (const { means, default: value } of Object.values(LIMITS)) {
      expect(text).toContain(JSON.stringify(`${means} Default: ${value}.`).slice(1, -1));
    }
  });
});

/** Keys that an editor would show without a word of help. */
function undescribed(schema: unknown, path = ''): string[] {
  if (!isMap(schema)) return [];
  const properties = isMap(schema['properties']) ? Object.entries(schema['properties']) : [];
  const bare = properties
    .filter(([, own]) => !isMap(own) || typeof own['description'] !== 'string')
    .map(([key]) => `${path}/${key}`);
  const inside = properties.flatMap(([key, own]) => undescribed(own, `${path}/${key}`));
  const others = [schema['additionalProperties'], schema['oneOf']].flat();
  return [...bare, ...inside, ...others.flatMap((other) => undescribed(other, `${path}/*`))];
}
