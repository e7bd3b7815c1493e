/**
 * The power goes at any moment of a store's work: what was called durable is there afterwards, the
 * files open, and nothing is half there. What the model covers is said in power-cut.ts. `CUTS=300`
 * makes more of it; the seed is printed.
 */
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, onTestFailed } from 'vitest';
import { type Bundled, bundled } from '../plain-node.ts';
import { expectKept } from './found.ts';
import { type Change, changesIn, cutPower } from './power-cut.ts';
import { randomFrom } from './random.ts';
import { compiledShim, type Shim, worked } from './shim.ts';

const CUTS = Number(process.env['CUTS'] ?? 60);
const SEED = Number(process.env['SEED'] ?? Math.floor(Math.random() * 2 ** 31));

let worker: Bundled;
let shim: Shim;
let root: string;
let changes: Change[];
beforeAll(async () => {
  shim = compiledShim();
  worker = await bundled('tests/faults/disk/worker.ts');
  root = mkdtempSync(join(tmpdir(), 'panelward-cut-'));
  const folder = join(root, 'store');
  const record = join(root, 'record');
  // Promises are noted in the store's own folder, so that they stand in order among the changes.
  const promises = join(folder, 'promises.txt');
  const run = { worker: worker.path, shim, folder, promises, record };
  writeFileSync(record, '');
  mkdirSync(folder);
  await worked(run);
  changes = changesIn(record);
});
afterAll(() => {
  worker.remove();
  shim.remove();
  rmSync(root, { recursive: true, force: true });
});

/** Last event that was promised before the cut. */
function promisedBefore(count: number): number {
  const last = changes
    .slice(0, count)
    .findLast(
      ({ op, path, bytes }) =>
        op === 'write' && path.endsWith('promises.txt') && bytes.toString().startsWith('event '),
    );
  return last === undefined ? 0 : Number(last.bytes.toString().slice('event '.length));
}

describe(`a power cut, ${CUTS} times`, () => {
  it(
    'loses no promised event and leaves files that open',
    { timeout: 60_000 + CUTS * 2000 },
    () => {
      onTestFailed(() => console.error(`seed ${SEED}`));
      const random = randomFrom(SEED);
      const folder = join(root, 'cut');
      const said = new Map<string, number>();
      let promised = 0;
      expect(changes.length).toBeGreaterThan(300);
      for (let cut = 0; cut < CUTS; cut += 1) {
        const count = 1 + Math.floor(random() * changes.length);
        cutPower(changes, count, folder, random);
        const before = promisedBefore(count);
        promised += before;
        const { problems, lastSeq } = expectKept(folder, before);
        // At most the one commit that nobody was told about yet.
        expect(lastSeq).toBeLessThanOrEqual(before + 3);
        for (const problem of problems) {
          const kind = problem.replaceAll(/\d+/g, 'n');
          said.set(kind, (said.get(kind) ?? 0) + 1);
        }
      }
      console.log(
        `${CUTS} cuts within ${changes.length} changes, seed ${SEED}: ${promised} promises held; ` +
          `said at the next start: ${JSON.stringify([...said])}`,
      );
      expect(promised).toBeGreaterThan(CUTS);
    },
  );
});
