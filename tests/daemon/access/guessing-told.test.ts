/** Guesses at the desk, through the watch and the telling, to the letter that the owner gets. */
import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { createTelling, createWatch, readBoat } from '../../../rules/index.ts';
import type { Letter } from '../../../rules/index.ts';
import { type AtDesk, mannedDesk, PASSWORD } from './fixtures.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const text = readFileSync(new URL('../../fixtures/boats/restless.yaml', import.meta.url), 'utf8');
const { boat: read } = readBoat(text, 'restless.yaml');
if (!read) throw new Error('the test boat is not usable');
const boat = read;

/** The boat's owner, and what is written to her while a minute goes by after the other. */
class Owner {
  readonly at: AtDesk;
  readonly letters: Letter[] = [];
  readonly #watch = createWatch(boat);
  readonly #telling = createTelling({
    boatName: 'Restless',
    settings: {
      timeZone: 'UTC',
      contacts: {
        wren: {
          name: 'Wren',
          told: 'first',
          ways: ['mail'],
          priority: 'warning',
          modes: ['aboard', 'away', 'under way'],
        },
      },
    },
  });

  constructor(at: AtDesk) {
    this.at = at;
  }

  /** Each minute `guesses` wrong passwords, every one from another address. */
  async go(minutes: number, guesses: (minute: number) => number): Promise<void> {
    for (let minute = 0; minute < minutes; minute += 1) {
      this.#step(1);
      for (let each = 0; each < guesses(minute); each += 1) {
        await this.at.desk.signIn(`Nobody ${minute} ${each}`, 'x', `198.51.100.${minute % 250}`);
      }
      this.#look();
    }
  }

  /** Nobody tries anything for so long. */
  rest(hours: number): void {
    for (let minutes = 0; minutes < hours * 60; minutes += 10) {
      this.#step(10);
      this.#look();
    }
  }

  /** Whether the alert stands. */
  get isStanding(): boolean {
    const alerts = this.#watch.openAlerts();
    return alerts.some(({ rule, phase }) => rule === 'failed-sign-ins' && phase !== 'returned');
  }

  #step(minutes: number): void {
    const { clock } = this.at;
    clock.advanceTo(clock.nowMs() + minutes * MINUTE_MS);
  }

  #look(): void {
    const { desk, clock } = this.at;
    const nowMs = clock.nowMs();
    this.#watch.report({ atMs: nowMs, signIns: { failedInHour: desk.failedInLastHour() } });
    const { alertEvents, panel } = this.#watch.evaluate(nowMs);
    const { letters } = this.#telling.take(alertEvents, { nowMs, mode: panel.mode.name, panel });
    this.letters.push(...letters);
  }

  /** About sign-ins; this boat has no sensors that speak, and is told of that as well. */
  get told(): Letter[] {
    return this.letters.filter((letter) => JSON.stringify(letter).includes('tries passwords'));
  }
}

const every = (minutes: number) => (minute: number) => (minute % minutes === 0 ? 1 : 0);

test('nine wrong passwords in an hour are mistyped, however many there are in a day', async () => {
  const owner = new Owner(await mannedDesk());
  await owner.go(190, every(7));
  expect(owner.at.desk.failedInLastHour()).toBe(9);
  expect(owner.told).toEqual([]);
});

test('the tenth within an hour is one letter, and no more while it goes on, nor when it is over', async () => {
  const owner = new Owner(await mannedDesk());
  await owner.go(9 * 6, every(6));
  expect(owner.told).toEqual([]);
  await owner.go(1, () => 1);
  // Letters of a warning are grouped for a moment.
  await owner.go(5, () => 0);
  expect(owner.told).toHaveLength(1);
  const [letter] = owner.told;
  expect(JSON.stringify(letter)).toMatch(/Somebody tries passwords at the page/);
  expect(owner.isStanding).toBe(true);
  // In bursts for a night and a day, with pauses of hours between them.
  for (let burst = 0; burst < 4; burst += 1) {
    await owner.go(20, () => 1);
    owner.rest(6);
  }
  expect(owner.told).toHaveLength(1);
  expect(owner.isStanding).toBe(true);
  owner.rest(26);
  expect(owner.isStanding).toBe(false);
  expect(owner.told).toHaveLength(1);
  // The control: another day's guesses are another letter.
  await owner.go(20, () => 1);
  expect(owner.told).toHaveLength(2);
});

test('codes count as passwords do; what must wait, what is right and what is long ago do not', async () => {
  const { desk, clock } = await mannedDesk();
  for (let each = 0; each < 8; each += 1) await desk.signIn('Ann', 'x', '192.0.2.1');
  await desk.signIn('Ann', PASSWORD, '192.0.2.2');
  // The throttle lets five through.
  expect(desk.failedInLastHour()).toBe(5);
  clock.advanceTo(clock.nowMs() + HOUR_MS);
  expect(desk.failedInLastHour()).toBe(0);
});
