/** The table of threats in DEVELOPERS.md names tests that are there. */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';

const ROOT = new URL('../../..', import.meta.url).pathname;

test('every threat names at least one test, and each of them is there', () => {
  const text = readFileSync(join(ROOT, 'DEVELOPERS.md'), 'utf8');
  const [, section = ''] = text.split('## Access: threats');
  const rows = section
    .split(/\n\n/)
    .find((part) => part.startsWith('| threat'))
    ?.split('\n')
    .slice(2);
  expect(rows?.length).toBeGreaterThan(10);
  for (const row of rows ?? []) {
    const named = [...(row.split('|')[3] ?? '').matchAll(/`([^`]+)`/g)].map(([, name]) => name);
    expect(named.length, row).toBeGreaterThan(0);
    for (const name of named) {
      const folder = name?.startsWith('browser/') === true ? 'tests' : 'tests/daemon';
      expect(existsSync(join(ROOT, folder, `${name}.test.ts`)), name).toBe(true);
    }
  }
});
