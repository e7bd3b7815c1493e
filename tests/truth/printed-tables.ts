/** Keeps the tables of all files until the end, so that they stand together below the test report. */
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { TestProject } from 'vitest/node';

declare module 'vitest' {
  export interface ProvidedContext {
    tables: string;
  }
}

export default function setUp(project: TestProject): () => void {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-truth-'));
  project.provide('tables', folder);
  return () => {
    const names = readdirSync(folder).toSorted();
    const tables = names.map((name) => readFileSync(join(folder, name), 'utf8'));
    rmSync(folder, { recursive: true });
    console.log(`\n${tables.join('\n\n')}\n`);
  };
}
