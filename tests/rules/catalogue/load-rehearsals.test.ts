/** The rules of circuits as text: each file in `tests/rehearsals/loads/`, on the boat of loads. */
import { readdirSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { parse } from 'yaml';
import { rehearsalSchema, rehearse } from '../../../rules/index.ts';
import { LOADS_BOAT } from './loads-boat.ts';

const FOLDER = new URL('../../rehearsals/loads/', import.meta.url);
const names = readdirSync(FOLDER).filter((name) => name.endsWith('.yaml'));

test.each(names)('%s comes as expected', (name) => {
  const text = readFileSync(new URL(name, FOLDER), 'utf8');
  expect(rehearse(LOADS_BOAT, rehearsalSchema.parse(parse(text)))).toEqual({ misses: [] });
});
