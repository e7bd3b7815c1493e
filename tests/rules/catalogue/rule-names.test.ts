/** Names of rules: each is a rule's own, and whatever an alert explains is one that there is. */
import { expect, test } from 'vitest';
import { RULE_NAMES } from '../../../rules/catalogue/rule-names.ts';
import { BOATS, firstChecks, watchRehearsal } from './captured-checks.ts';

const names: ReadonlySet<string> = new Set(RULE_NAMES);
const covers = (name: string, key: string): boolean => key === name || key.startsWith(`${name}.`);

test('the names are those of the checks that the catalogue returns, both ways', () => {
  const checks = BOATS.flatMap(firstChecks);
  expect([...new Set(checks.map((own) => own.rule))].sort()).toEqual([...names].sort());
  expect(checks.filter((own) => !covers(own.rule, own.key))).toEqual([]);
  expect(names.size).toBe(RULE_NAMES.length);
});

test.each(BOATS)('no two checks of %s have one key', (path) => {
  const keys = firstChecks(path).map((own) => own.key);
  expect(new Set(keys).size).toBe(keys.length);
});

/** Rehearsals in which alerts stand that explain others: who explains, and how many names at least. */
const STANDING: readonly [rehearsal: string, explaining: Record<string, number>][] = [
  ['prerequisite-fires', { 'missing-prerequisite': 2 }],
  ['all-silent', { 'sensor-silent': 4 }],
  ['split-phase/lost-with-its-sensors', { 'shore-power-lost': 8 }],
  ['split-phase/frozen', { 'shore-power-lost': 8 }],
  ['split-phase/neutral-leg-high', { 'loose-neutral': 6 }],
  ['split-phase/weak', { 'weak-supply': 2 }],
  ['shore-lost-fires', { 'shore-power-lost': 8 }],
  ['loads/shared-trips-fires', { 'shared-trips': 1 }],
  [
    'anchorage/class-overloaded',
    { overload: 2, 'generator-out-of-class': 1, 'idle-generator': 1, 'sources-fighting': 1 },
  ],
  ['pumps/inside-leak', { 'fresh-water-leak': 4, 'fresh-water-dry': 1, 'bilge-pump-long-run': 1 }],
];

/** Names that each rule explains in a rehearsal, and every key there is. */
function explainedIn(rehearsal: string) {
  const keys = new Set<string>();
  const explained = new Map<string, Set<string>>();
  watchRehearsal(rehearsal, (checks) => {
    for (const { key, rule, explains } of checks) {
      keys.add(key);
      const own = explained.get(rule) ?? new Set();
      for (const name of explains ?? []) own.add(name);
      if (explains) explained.set(rule, own);
    }
  });
  return { keys: [...keys], explained };
}

test.each(STANDING)(
  'in rehearsal %s all that is explained are checks of that boat',
  (name, who) => {
    const { keys, explained } = explainedIn(name);
    for (const [rule, least] of Object.entries(who)) {
      expect(explained.get(rule)?.size, rule).toBeGreaterThanOrEqual(least);
    }
    for (const [rule, own] of explained) {
      expect([rule, [...own].filter((one) => !keys.some((key) => covers(one, key)))]).toEqual([
        rule,
        [],
      ]);
    }
  },
);

test('no other rule always explains something, so none of those is left unseen here', () => {
  const seen = new Set(STANDING.flatMap(([, who]) => Object.keys(who)));
  const explaining = BOATS.flatMap(firstChecks).filter((own) => own.explains?.[0] !== undefined);
  const rules = new Set(explaining.map((own) => own.rule));
  expect([...rules].filter((rule) => !seen.has(rule))).toEqual([]);
});
