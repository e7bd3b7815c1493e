/** The table of modes in the catalogue's README is what the code does, both ways. */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { MODES, PRIORITIES } from '../../../rules/alerts/alert.ts';
import type { Mode } from '../../../rules/alerts/alert.ts';
import { speaksIn } from '../../../rules/alerts/check.ts';
import type { Check } from '../../../rules/alerts/check.ts';
import { RULE_NAMES } from '../../../rules/catalogue/rule-names.ts';
import type { Contradiction } from '../../../rules/index.ts';
import { BOATS, checksOfContradictions, firstChecks } from './captured-checks.ts';

/** What a rule may say in a mode: its priorities, most urgent first, or `-`. */
type Row = Record<Mode, string>;

function rowOf(checks: readonly Check[]): Row {
  const said = (mode: Mode): string => {
    const found = checks.flatMap((own) =>
      own.levels.filter((level) => speaksIn(own, level, mode)).map((level) => level.priority),
    );
    return PRIORITIES.filter((own) => found.includes(own)).join(', ') || '-';
  };
  return {
    aboard: said('aboard'),
    away: said('away'),
    'under way': said('under way'),
    'work in progress': said('work in progress'),
  };
}

/** Rows of the table by rule, from `| name | aboard | away | under way | work in progress | why |`. */
function tableRows(): Map<string, Row> {
  const text = readFileSync(new URL('../../../rules/catalogue/README.md', import.meta.url), 'utf8');
  const rows = new Map<string, Row>();
  for (const line of text.split('\n')) {
    const [, name = '', aboard = '', away = '', underWay = '', work = ''] = line
      .split('|')
      .map((cell) => cell.trim());
    const rule = /^`([a-z-]+)`$/.exec(name)?.[1];
    if (rule === undefined) continue;
    expect(rows.has(rule), `${rule} stands once`).toBe(false);
    rows.set(rule, { aboard, away, 'under way': underWay, 'work in progress': work });
  }
  return rows;
}

/** A clamp that was caught has a check of its own, which is there only then. */
const caught: Contradiction = {
  parts: [],
  because: [],
  culprit: { kind: 'reversed clamp', points: ['clamp'], text: '' },
};
const all = [...BOATS.flatMap(firstChecks), ...checksOfContradictions([caught])];
const table = tableRows();

test('every rule has a row, and no row is of a rule that is not there', () => {
  expect([...table.keys()].sort()).toEqual([...RULE_NAMES].sort());
});

describe('what a rule may say in each mode is as its row says', () => {
  test.each(RULE_NAMES)('%s', (name) => {
    expect(rowOf(all.filter((own) => own.rule === name))).toEqual(table.get(name));
  });
});

test('what can cost a life, the hull or the boat by fire speaks in every mode', () => {
  const grave = all.filter((own) =>
    own.levels.some((level) => level.priority === 'emergency alarm'),
  );
  const always = ['overload', 'overcharge', 'battery-low', 'connection-going-bad', 'weak-supply'];
  for (const own of [...grave, ...all.filter((one) => always.includes(one.rule))]) {
    const quiet = MODES.filter((mode) => !own.levels.every((level) => speaksIn(own, level, mode)));
    expect([own.key, quiet]).toEqual([own.key, []]);
  }
});
