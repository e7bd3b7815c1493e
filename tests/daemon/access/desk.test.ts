/** Signing in and out, how long it lasts, and what ends it. */
import Database from 'better-sqlite3';
import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { AccessProblem } from '../../../daemon/access/access-file.ts';
import { openDesk } from '../../../daemon/access/desk.ts';
import { manualClock } from '../../../daemon/clock.ts';
import {
  ACTOR,
  CHEAP,
  deskIn,
  mannedDesk,
  newFolder,
  numberOf,
  PASSWORD,
  signedIn,
  START_MS,
} from './fixtures.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;

describe('signing in', () => {
  test('gives a token that is kept as a hash only', async () => {
    const at = await mannedDesk();
    const { token, signedIn: who } = await signedIn(at, 'ann');
    expect(token).toMatch(/^[A-Za-z0-9_-]{43}$/);
    expect(who).toMatchObject({ name: 'Ann', role: 'technician' });
    expect(at.desk.find(token, true)).toMatchObject({ name: 'Ann' });
    const bytes = readdirSync(at.folder).map((name) =>
      readFileSync(join(at.folder, name), 'latin1'),
    );
    expect(bytes.join('')).not.toContain(token);
    expect(bytes.join('')).not.toContain(PASSWORD);
  });

  // ASVS 5.0 7.2.4.
  test('gives another token every time', async () => {
    const at = await mannedDesk();
    const tokens = [await signedIn(at, 'Cal'), await signedIn(at, 'Cal')].map(({ token }) => token);
    expect(new Set(tokens).size).toBe(2);
  });

  // ASVS 5.0 6.3.8.
  test('tells nobody who is registered here', async () => {
    const { desk } = await mannedDesk();
    const wrong = await desk.signIn('Ann', 'not the password', '192.0.2.1');
    const unknown = await desk.signIn('Zoe', 'not the password', '192.0.2.2');
    expect(wrong).toEqual({ problem: 'Name or password is wrong.', why: 'refused' });
    expect(unknown).toEqual(wrong);
  });

  test('is slowed down by address, whoever is tried', async () => {
    const { desk, clock } = await mannedDesk();
    for (let tries = 0; tries < 5; tries += 1)
      await desk.signIn(`name ${tries}`, 'wrong', '192.0.2.1');
    const sixth = await desk.signIn('Ann', PASSWORD, '192.0.2.1');
    expect(sixth).toMatchObject({ why: 'too many', retryAfterMs: 30_000 });
    expect('token' in (await desk.signIn('Ann', PASSWORD, '192.0.2.2'))).toBe(true);
    clock.advanceTo(START_MS + 30_000);
    expect('token' in (await desk.signIn('Ann', PASSWORD, '192.0.2.1'))).toBe(true);
  });

  test('is slowed down by name, from wherever it is tried; for unknown names alike', async () => {
    const { desk, clock } = await mannedDesk();
    for (const name of ['Ann', 'Zoe']) {
      for (let tries = 0; tries < 10; tries += 1)
        await desk.signIn(name, 'wrong', `198.51.100.${tries}`);
      expect(await desk.signIn(name, PASSWORD, '203.0.113.1')).toMatchObject({ why: 'too many' });
      clock.advanceTo(clock.nowMs() + HOUR_MS);
    }
  });

  // ASVS 5.0 6.1.1: no malicious lock-out.
  test('is not slowed down where the person has signed in before', async () => {
    const at = await mannedDesk();
    await signedIn(at, 'Ann', '192.0.2.50');
    for (let tries = 0; tries < 40; tries += 1)
      await at.desk.signIn('Ann', 'wrong', `198.51.100.${tries}`);
    expect(await at.desk.signIn('Ann', PASSWORD, '203.0.113.1')).toMatchObject({ why: 'too many' });
    expect('token' in (await at.desk.signIn('Ann', PASSWORD, '192.0.2.50'))).toBe(true);
  });

  test('counts tries that are made at the same time', async () => {
    const { desk } = await mannedDesk();
    const all = await Promise.all(
      Array.from({ length: 30 }, () => desk.signIn('Ann', 'wrong', '192.0.2.1')),
    );
    expect(
      all.filter((given) => 'why' in given && given.why === 'refused').length,
    ).toBeLessThanOrEqual(5);
  });

  test('hashes anew what was hashed at another cost', async () => {
    const folder = newFolder();
    const before = deskIn(folder);
    await before.desk.list.add(ACTOR, { name: 'Ann', role: 'crew', password: PASSWORD });
    const later = deskIn(folder, { ln: 5, r: 1, p: 1 });
    await signedIn(later, 'Ann');
    expect(later.desk.persons.byName('Ann')?.password).toMatch(/^\$scrypt\$ln=5,/);
    await signedIn(later, 'Ann');
  });
});

describe('a session', () => {
  // ASVS 5.0 7.3.1 and 7.3.2.
  test('ends 12 hours after the last use, and looking on is no use', async () => {
    const at = await mannedDesk();
    const { token } = await signedIn(at, 'Cal');
    at.clock.advanceTo(START_MS + 11 * HOUR_MS);
    expect(at.desk.find(token, true)).not.toBeNull();
    at.clock.advanceTo(START_MS + 22 * HOUR_MS);
    expect(at.desk.find(token, false)).not.toBeNull();
    at.clock.advanceTo(START_MS + 23 * HOUR_MS + MINUTE_MS);
    expect(at.desk.find(token, false)).toBeNull();
  });

  test('ends after 30 days, however much it is used', async () => {
    const at = await mannedDesk();
    const { token } = await signedIn(at, 'Cal');
    for (let hours = 6; hours < 30 * 24; hours += 6) {
      at.clock.advanceTo(START_MS + hours * HOUR_MS);
      expect(at.desk.find(token, true)).not.toBeNull();
    }
    at.clock.advanceTo(START_MS + 30 * DAY_MS);
    expect(at.desk.find(token, true)).toBeNull();
  });

  // ASVS 5.0 7.4.1.
  test('ends when its person signs out, and only that one', async () => {
    const at = await mannedDesk();
    const [one, other] = [await signedIn(at, 'Cal'), await signedIn(at, 'Cal')];
    at.desk.signOut(one.signedIn, '192.0.2.9');
    expect(at.desk.find(one.token, true)).toBeNull();
    expect(at.desk.find(other.token, true)).not.toBeNull();
  });

  // ASVS 5.0 7.4.2 and 7.4.5.
  test('ends when its person is removed, or gets another password, or a technician ends it', async () => {
    const at = await mannedDesk();
    const [ann, cal, gus] = [
      await signedIn(at, 'Ann'),
      await signedIn(at, 'Cal'),
      await signedIn(at, 'Gus'),
    ];
    expect(at.desk.list.remove(ACTOR, numberOf(at, 'Cal'))).toBeNull();
    expect(at.desk.find(cal.token, true)).toBeNull();
    expect(await at.desk.list.setPassword(ACTOR, numberOf(at, 'Gus'), `${PASSWORD}!`)).toBeNull();
    expect(at.desk.find(gus.token, true)).toBeNull();
    expect(at.desk.list.endSession(ACTOR, ann.signedIn.session)).toBeNull();
    expect(at.desk.find(ann.token, true)).toBeNull();
    expect(at.desk.list.endSession(ACTOR, ann.signedIn.session)).toMatchObject({ why: 'unknown' });
  });

  test('is one of ten at most for each person; the oldest goes', async () => {
    const at = await mannedDesk();
    const tokens: string[] = [];
    for (let each = 0; each < 11; each += 1) tokens.push((await signedIn(at, 'Cal')).token);
    expect(tokens.map((token) => at.desk.find(token, false) !== null)).toEqual([
      false,
      ...Array<boolean>(10).fill(true),
    ]);
  });

  test('has the role that its person has now', async () => {
    const at = await mannedDesk();
    const { token } = await signedIn(at, 'Cal');
    expect(at.desk.list.setRole(ACTOR, numberOf(at, 'Cal'), 'guest')).toBeNull();
    expect(at.desk.find(token, true)?.role).toBe('guest');
  });

  // ASVS 5.0 7.5.1.
  test('is fresh for 30 minutes, and again with the password, under a new token', async () => {
    const at = await mannedDesk();
    const { token, signedIn: who } = await signedIn(at, 'Ann');
    expect(at.desk.isFresh(who)).toBe(true);
    at.clock.advanceTo(START_MS + 30 * MINUTE_MS);
    expect(at.desk.isFresh(who)).toBe(false);
    expect(await at.desk.proveAgain(who, 'wrong', '192.0.2.9')).toMatchObject({ why: 'refused' });
    const again = await at.desk.proveAgain(who, PASSWORD, '192.0.2.9');
    if ('problem' in again) throw new Error(again.problem);
    expect(at.desk.isFresh(again.signedIn)).toBe(true);
    expect(at.desk.find(token, true)).toBeNull();
  });

  test('outlives a restart', async () => {
    const at = await mannedDesk();
    const { token } = await signedIn(at, 'Ann');
    expect(deskIn(at.folder).desk.find(token, true)).toMatchObject({ name: 'Ann' });
  });

  test('is nobody’s for a token that was made up', async () => {
    const { desk } = await mannedDesk();
    for (const token of ['', 'x', 'A'.repeat(43), "' OR 1=1 --"]) {
      expect(desk.find(token, true)).toBeNull();
    }
  });
});

describe('persons', () => {
  // ASVS 5.0 6.2.3.
  test('change their own password with the current one, which ends their other sessions', async () => {
    const at = await mannedDesk();
    const [one, other] = [await signedIn(at, 'Cal'), await signedIn(at, 'Cal')];
    const next = 'brass lamp, no oil';
    const wrong = await at.desk.changeOwnPassword(
      one.signedIn,
      { current: 'no', next },
      '192.0.2.9',
    );
    expect(wrong).toMatchObject({ why: 'refused' });
    const done = await at.desk.changeOwnPassword(
      one.signedIn,
      { current: PASSWORD, next },
      '192.0.2.9',
    );
    expect('token' in done && at.desk.find(done.token, true)).toMatchObject({ name: 'Cal' });
    expect(at.desk.find(other.token, true)).toBeNull();
    expect('token' in (await at.desk.signIn('Cal', next, '192.0.2.9'))).toBe(true);
  });

  test('are never without a technician', async () => {
    const at = await mannedDesk();
    const ann = numberOf(at, 'Ann');
    expect(at.desk.list.remove(ACTOR, ann)).toMatchObject({ why: 'not allowed' });
    expect(at.desk.list.setRole(ACTOR, ann, 'crew')).toMatchObject({ why: 'not allowed' });
    expect(at.desk.list.setRole(ACTOR, numberOf(at, 'Cal'), 'technician')).toBeNull();
    expect(at.desk.list.remove(ACTOR, ann)).toBeNull();
    expect(at.desk.persons.byName('Ann')).toBeNull();
  });

  test.each([
    ['ann', /somebody called ann/],
    ['  ANN ', /somebody called ANN/],
    ['', /name is needed/],
    ['a\u001b[31mb', /control characters/],
    ['x'.repeat(61), /at most 60/],
  ])('cannot be called %j', async (name, why) => {
    const { desk } = await mannedDesk();
    const refusal = await desk.list.add(ACTOR, { name, role: 'crew', password: PASSWORD });
    expect(refusal?.problem).toMatch(why);
  });
});

describe('the file', () => {
  test('is for its owner only, and so are its logs', async () => {
    const { folder } = await mannedDesk();
    const names = readdirSync(folder).filter((name) => name.startsWith('access.db'));
    expect(names.length).toBeGreaterThan(1);
    for (const name of names) expect(statSync(join(folder, name)).mode & 0o077).toBe(0);
  });

  test('of somebody else is left alone', () => {
    const folder = newFolder();
    const other = new Database(join(folder, 'access.db'));
    other.exec('CREATE TABLE theirs (a); PRAGMA user_version = 1;');
    other.close();
    const open = () => openDesk({ folder, clock: manualClock(0), wallNowMs: () => 0, cost: CHEAP });
    expect(open).toThrow(AccessProblem);
    expect(existsSync(join(folder, 'access.db'))).toBe(true);
  });
});
