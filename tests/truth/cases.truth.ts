/** Every case with all its seeds. */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, inject, test } from 'vitest';
import { caseTable, playSeeds } from './case-table.ts';
import type { CaseResult } from './case-table.ts';
import { CASES } from './cases/index.ts';
import { CASES_WANTED, seedsFrom, SIZES } from './sizes.ts';

const results: CaseResult[] = [];

afterAll(() => writeFileSync(join(inject('tables'), '1-cases.txt'), caseTable(results)));

describe('cases', () => {
  for (const own of CASES.filter(({ id }) => CASES_WANTED.test(id))) {
    test(`${own.id} ${own.title}`, () => {
      const seeds = seedsFrom(1, own.isLong === true ? SIZES.longSeeds : SIZES.seeds);
      const result = playSeeds(own, seeds);
      results.push(result);
      const judged = result.rows.filter(({ met }) => met !== null);
      expect(judged.filter(({ met, seeds: all }) => met !== all)).toEqual([]);
      expect(result.falseAlerts).toEqual([]);
    });
  }
});
