/** What is given up as room runs out, and that alerts are the last of it. */
import { existsSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { manualClock } from '../../../daemon/clock.ts';
import { type DiskSpace, SpaceGuard, spaceLevel } from '../../../daemon/store/disk-space.ts';
import { openStore } from '../../../daemon/store/store.ts';
import { eventWith, START_MS, temporaryFolder, watchAt } from './fixtures.ts';

const CARD_BYTES = 32e9;
const usedBy = (ratio: number, totalBytes = CARD_BYTES): DiskSpace => ({
  freeBytes: Math.round(totalBytes * (1 - ratio)),
  totalBytes,
});

describe('the level of room', () => {
  it.each([
    [0.899, 'enough'],
    [0.901, 'little'],
    [0.949, 'little'],
    [0.951, 'scarce'],
    [0.979, 'scarce'],
    [0.981, 'full'],
    [1, 'full'],
  ])('of a card that is %d full is %s', (ratio, level) => {
    expect(spaceLevel(usedBy(ratio))).toBe(level);
  });

  it('of a large disk goes by what is left', () => {
    expect(spaceLevel(usedBy(0.99, 4e12))).toBe('enough');
    expect(spaceLevel({ freeBytes: 0.5e9, totalBytes: 4e12 })).toBe('full');
  });
});

describe('the ballast', () => {
  it('is written out while there is room, dropped when there is none, and made again', () => {
    const folder = temporaryFolder();
    let space = usedBy(0.5);
    const guard = new SpaceGuard(folder, () => space, 1024 * 1024);
    guard.look();
    const { size, blocks } = statSync(join(folder, 'ballast'));
    expect(size).toBe(1024 * 1024);
    expect(blocks * 512).toBeGreaterThanOrEqual(size);
    space = usedBy(0.985);
    guard.look();
    expect(existsSync(join(folder, 'ballast'))).toBe(false);
    expect(guard.dropBallast()).toBe(false);
    space = usedBy(0.93);
    guard.look();
    expect(existsSync(join(folder, 'ballast'))).toBe(false);
    space = usedBy(0.8);
    guard.look();
    expect(existsSync(join(folder, 'ballast'))).toBe(true);
  });
});

describe('a store whose disk fills up', () => {
  it('says so at each level, stops the history at the last, and goes on with alerts', () => {
    const folder = temporaryFolder();
    let space: DiskSpace | null = usedBy(0.5);
    const clock = manualClock(START_MS);
    const store = openStore({ folder, clock, log: () => {}, space: () => space, ballastBytes: 0 });
    onTestFinished(() => store.close());
    const pass = (ratio: number): void => {
      space = usedBy(ratio);
      clock.advanceTo(clock.nowMs() + 60_000);
      store.addReading({ pointId: 'volts', value: ratio, atMs: clock.nowMs() });
      clock.advanceTo(clock.nowMs() + 20_000);
    };
    pass(0.5);
    expect(store.health()).toMatchObject({ space: 'enough', problems: [], readingsBuffered: 0 });
    pass(0.92);
    expect(store.health().problems.join()).toMatch(/nearly full: 2\.6 GB are left\. Make room/);
    pass(0.96);
    expect(store.health().problems.join()).toMatch(/Old readings are deleted/);
    expect(store.health().readingsBuffered).toBe(0);
    pass(0.99);
    expect(store.health()).toMatchObject({ space: 'full', readingsBuffered: 1 });
    expect(store.health().problems.join()).toMatch(
      /Readings are not written any more; alerts still/,
    );
    const batch = { alertEvents: [eventWith(1)], panelEvents: [], savedWatch: watchAt(1) };
    expect(store.commit(batch)).toEqual({ isDurable: true });
    pass(0.5);
    expect(store.health()).toMatchObject({ space: 'enough', problems: [], readingsBuffered: 0 });
  });
});
