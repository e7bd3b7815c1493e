/**
 * The n-th call to the disk fails, for n = 1, 2, 3 and so on, with an I/O error, for want of room
 * or because the file system is read-only, once or from then on (the method of SQLite's own tests, sqlite.org/testing.html, "I/O error
 * testing"). No run may crash; what was called durable is there afterwards; what the disk refused
 * is there once it takes writes again. `CALLS=200` goes through each of the first 200; the default
 * takes fewer of them.
 */
import { cpSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Bundled, bundled } from '../plain-node.ts';
import { expectKept, promisedSeq } from './found.ts';
import { compiledShim, type ERRNO, type Shim, twoAtATime, worked } from './shim.ts';

const CALLS = Number(process.env['CALLS'] ?? 0);
/** Close together at first, where files are opened and made. */
const SOME = [1, 3, 38, 74, 127, 167];
const NUMBERS = CALLS > 0 ? Array.from({ length: CALLS }, (_, index) => index + 1) : SOME;

let worker: Bundled;
let shim: Shim;
let root: string;
/** A store that has worked before. */
let template: string;
beforeAll(async () => {
  shim = compiledShim();
  worker = await bundled('tests/faults/disk/worker.ts');
  root = mkdtempSync(join(tmpdir(), 'panelward-nth-'));
  template = join(root, 'template');
  const promises = join(root, 'template.promises');
  await worked({ worker: worker.path, shim, folder: template, promises });
});
afterAll(() => {
  worker.remove();
  shim.remove();
  rmSync(root, { recursive: true, force: true });
});

type How = 'once' | 'from then on' | 'from then on, until it is well';
type Mode = [keyof typeof ERRNO, How, 'a new' | 'an old'];

const HOWS: Record<keyof typeof ERRNO, How[]> = {
  EIO: ['once', 'from then on', 'from then on, until it is well'],
  ENOSPC: ['once', 'from then on', 'from then on, until it is well'],
  // Remounted read-only, as the kernel does after an error.
  EROFS: ['from then on', 'from then on, until it is well'],
};
const MODES = (['EIO', 'ENOSPC', 'EROFS'] as const).flatMap((errno) =>
  HOWS[errno].flatMap((how): Mode[] => [
    [errno, how, 'a new'],
    [errno, how, 'an old'],
  ]),
);

describe(`a disk whose n-th call fails, for ${NUMBERS.length} n`, () => {
  const timeout = 60_000 + NUMBERS.length * 5000;
  it.each(MODES)('with %s, %s, in %s folder', { timeout }, async (errno, how, age) => {
    const counts = { 'not opened': 0, refused: 0, untouched: 0, events: 0 };
    await twoAtATime(NUMBERS, async (at) => {
      const name = join(root, `${errno} ${how} ${age} ${at}`.replaceAll(/\W+/g, '-'));
      if (age === 'an old') cpSync(template, name, { recursive: true });
      const promises = `${name}.promises`;
      const report = await worked({
        worker: worker.path,
        shim,
        folder: name,
        promises,
        fail: { at, errno, isSticky: how !== 'once' },
        ...(how === 'from then on, until it is well' && { lift: `${name}.lift` }),
      });
      const found = expectKept(name, promisedSeq(promises));
      if (report.problem !== null) {
        // Only where nothing was there yet or nothing can be read, and with a sentence for whoever
        // is at the keyboard.
        if (errno !== 'EIO') expect(age, report.problem).toBe('a new');
        expect(report.problem).toMatch(/cannot be (opened|made)/);
        counts['not opened'] += 1;
        return;
      }
      counts[report.isWritable && report.lines.length === 0 ? 'untouched' : 'refused'] += 1;
      counts.events += report.durableSeq;
      expect(found.lastSeq).toBeGreaterThanOrEqual(report.durableSeq);
      rmSync(name, { recursive: true, force: true });
      if (how === 'from then on') return;
      // The disk was well in the end: nothing at all is missing.
      expect(report).toMatchObject({ isWritable: true, durableSeq: report.lastSeq });
      expect(found.lastSeq).toBe(report.lastSeq);
      expect(report.lastSeq).toBeGreaterThan(20);
    });
    console.log(
      `${errno}, ${how}, ${age} folder: ${NUMBERS.length} runs, ${counts['not opened']} not opened, ` +
        `${counts.refused} refused, ${counts.untouched} untouched; ` +
        `${counts.events} events durable, none lost`,
    );
    expect(counts.refused + counts['not opened']).toBeGreaterThan(0);
  });
});
