import { expect, it } from 'vitest';
import { spanOf } from '../../dashboard/models/evidence.ts';

const MINUTE = 60_000;
const at = (minutes: number): number => 1e12 + minutes * MINUTE;

it.each([
  ['just begun: never past now', 0, null, 10, { fromMs: at(-15), toMs: at(10) }],
  ['standing for hours', 0, null, 300, { fromMs: at(-15), toMs: at(300) }],
  ['over: a quarter of an hour more', 0, 120, 600, { fromMs: at(-15), toMs: at(135) }],
  ['short and over: at least an hour', 0, 1, 600, { fromMs: at(-15), toMs: at(45) }],
  ['a clock that lies before it', 0, null, -20, '1h'],
])('%s', (_, since, returned, now, expected) => {
  const returnedAtMs = returned === null ? null : at(returned);
  expect(spanOf({ sinceMs: at(since), returnedAtMs }, at(now))).toEqual(expected);
});
