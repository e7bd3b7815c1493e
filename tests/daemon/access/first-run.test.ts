/** The one-time code: how long, how often, and where it stands. ASVS 5.0 6.4.1. */
import { existsSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { CODE_FILE } from '../../../daemon/access/set-up-code.ts';
import { ACTOR, deskIn, PASSWORD, START_MS } from './fixtures.ts';

const ADDRESS = '192.0.2.9';
const MINUTE_MS = 60_000;
const other = (code: string): string => String((Number(code) + 1) % 1e8).padStart(8, '0');

describe('the one-time code', () => {
  test('is eight digits, another every time, in a file for its owner only', () => {
    const { desk, folder } = deskIn();
    const codes = Array.from({ length: 20 }, () => desk.code.renew());
    for (const code of codes) expect(code).toMatch(/^\d{8}$/);
    expect(new Set(codes).size).toBeGreaterThan(15);
    const path = join(folder, CODE_FILE);
    expect(readFileSync(path, 'utf8').trim()).toBe(codes.at(-1));
    expect(statSync(path).mode & 0o777).toBe(0o600);
  });

  test('lets the first technician in, once', async () => {
    const { desk, folder } = deskIn();
    const code = desk.code.renew();
    expect(desk.mustSetUp).toBe(true);
    const given = await desk.setUp(code, 'Ann', PASSWORD, ADDRESS);
    expect('token' in given && given.signedIn).toMatchObject({ name: 'Ann', role: 'technician' });
    expect(desk.mustSetUp).toBe(false);
    expect(existsSync(join(folder, CODE_FILE))).toBe(false);
    const again = await desk.setUp(code, 'Bob', PASSWORD, ADDRESS);
    expect(again).toMatchObject({ why: 'not allowed' });
    expect('token' in (await desk.signIn('Ann', PASSWORD, ADDRESS))).toBe(true);
  });

  test('makes one technician of two who come with it at the same time', async () => {
    const { desk } = deskIn();
    const code = desk.code.renew();
    const given = await Promise.all([
      desk.setUp(code, 'Ann', PASSWORD, ADDRESS),
      desk.setUp(code, 'Bob', PASSWORD, ADDRESS),
    ]);
    expect(given.filter((each) => 'token' in each)).toHaveLength(1);
    expect(desk.persons.count).toBe(1);
  });

  test('is void after five wrong tries', async () => {
    const { desk, clock } = deskIn();
    const code = desk.code.renew();
    for (let tries = 0; tries < 5; tries += 1) {
      const refused = await desk.setUp(other(code), 'Eve', PASSWORD, `198.51.100.${tries}`);
      expect(refused).toMatchObject({ problem: 'This is not the code.' });
    }
    clock.advanceTo(START_MS + 10_000);
    const late = await desk.setUp(code, 'Ann', PASSWORD, ADDRESS);
    expect(late).toMatchObject({
      why: 'refused',
      problem: expect.stringMatching(/no code in force/),
    });
    expect('token' in (await desk.setUp(desk.code.renew(), 'Ann', PASSWORD, ADDRESS))).toBe(true);
  });

  test('is void after a quarter of an hour, file and all', async () => {
    const { desk, clock, folder } = deskIn();
    const code = desk.code.renew();
    clock.advanceTo(START_MS + 14 * MINUTE_MS);
    expect(existsSync(join(folder, CODE_FILE))).toBe(true);
    clock.advanceTo(START_MS + 15 * MINUTE_MS + 6000);
    expect(existsSync(join(folder, CODE_FILE))).toBe(false);
    expect(await desk.setUp(code, 'Ann', PASSWORD, ADDRESS)).toMatchObject({ why: 'refused' });
  });

  test('is not spent by a password that is refused', async () => {
    const { desk } = deskIn();
    const code = desk.code.renew();
    for (const password of ['short', 'password123']) {
      expect(await desk.setUp(code, 'Ann', password, ADDRESS)).toMatchObject({
        why: 'not allowed',
      });
    }
    expect('token' in (await desk.setUp(code, 'Ann', PASSWORD, ADDRESS))).toBe(true);
  });

  test('is not needed once somebody was registered on the boat’s computer', async () => {
    const { desk } = deskIn();
    const code = desk.code.renew();
    await desk.list.add(ACTOR, { name: 'Ann', role: 'technician', password: PASSWORD });
    expect(await desk.setUp(code, 'Eve', PASSWORD, ADDRESS)).toMatchObject({ why: 'not allowed' });
  });

  test('slows down who guesses it', async () => {
    const { desk } = deskIn();
    for (let tries = 0; tries < 5; tries += 1) {
      desk.code.renew();
      await desk.setUp('00000000x', 'Eve', PASSWORD, ADDRESS);
    }
    const code = desk.code.renew();
    expect(await desk.setUp(code, 'Eve', PASSWORD, ADDRESS)).toMatchObject({ why: 'too many' });
  });
});
