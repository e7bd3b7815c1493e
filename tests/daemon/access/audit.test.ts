/** The audit trail: that it is only added to, and that what was done to it all the same is found. */
import Database from 'better-sqlite3';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { ACTOR, deskIn, mannedDesk, PASSWORD, signedIn } from './fixtures.ts';

/** As somebody would who has the file in their hands: without the triggers. */
function tamper(folder: string, sql: string): void {
  const db = new Database(join(folder, 'access.db'));
  db.exec('DROP TRIGGER audit_is_never_changed; DROP TRIGGER audit_is_never_deleted;');
  db.exec(sql);
  db.close();
}

function written(): { folder: string; check: () => string | null } {
  const { desk, folder } = deskIn();
  for (let each = 1; each <= 9; each += 1)
    desk.noteAct(ACTOR, 'alerts/:id/shelve', `alert ${each}`, 'done');
  return { folder, check: () => desk.audit.check().problem };
}

describe('the audit trail', () => {
  test('says who did what, from where, when, and how it ended', async () => {
    const at = await mannedDesk();
    await signedIn(at, 'Cal');
    const [newest] = at.desk.audit.list(10);
    expect(newest).toMatchObject({
      who: 'Cal',
      role: 'crew',
      address: '192.0.2.9',
      act: 'sign in',
      outcome: 'done',
      clockMs: at.clock.nowMs(),
      wallMs: at.clock.nowMs() + 500,
    });
    expect(at.desk.audit.list(10).map(({ act }) => act)).toEqual([
      'sign in',
      'add guest',
      'add crew',
      'add technician',
    ]);
    expect(at.desk.audit.check()).toEqual({ rows: 4, newestHash: newest?.hash, problem: null });
  });

  test.each(["UPDATE audit SET who = 'x'", 'DELETE FROM audit', 'DELETE FROM audit WHERE seq = 1'])(
    'is not changed by `%s`',
    (sql) => {
      const { folder, check } = written();
      const db = new Database(join(folder, 'access.db'));
      expect(() => db.exec(sql)).toThrow(/only added to/);
      db.close();
      expect(check()).toBeNull();
    },
  );

  test.each([
    ["UPDATE audit SET who = 'Mallory' WHERE seq = 4", 'Entry 4 was changed.'],
    ['UPDATE audit SET wall_ms = wall_ms + 1 WHERE seq = 9', 'Entry 9 was changed.'],
    ['DELETE FROM audit WHERE seq = 5', 'Entry 5 is missing.'],
    ['DELETE FROM audit WHERE seq > 7', '9 entries were made, but only 7 are there'],
    [
      "UPDATE audit SET hash = 'f' WHERE seq = 3; UPDATE audit SET previous_hash = 'f' WHERE seq = 4",
      'Entry 3 was changed.',
    ],
    [
      'DELETE FROM audit WHERE seq = 6; UPDATE audit SET seq = seq - 1 WHERE seq > 6',
      'Entry 6 does not follow',
    ],
  ])('shows that somebody did `%s`', (sql, found) => {
    const { folder, check } = written();
    expect(check()).toBeNull();
    tamper(folder, sql);
    expect(check()).toContain(found);
  });

  test('holds no password, token or code, and no name that may be one', async () => {
    const at = await mannedDesk();
    const { token } = await signedIn(at, 'Ann');
    await at.desk.signIn('Ann', 'my secret guess', '192.0.2.1');
    await at.desk.signIn('my password as a name', 'x', '192.0.2.2');
    const text = JSON.stringify(at.desk.audit.list(100));
    for (const secret of [PASSWORD, token, 'my secret guess', 'my password as a name']) {
      expect(text).not.toContain(secret);
    }
    const all = readdirSync(at.folder).map((name) => readFileSync(join(at.folder, name), 'latin1'));
    expect(all.join('')).not.toContain('my secret guess');
  });

  test('takes the first of many refusals alike, and counts the others', async () => {
    const { desk, clock } = await mannedDesk();
    const before = desk.audit.check().rows;
    for (let tries = 0; tries < 500; tries += 1) desk.noteRefusal(ACTOR, 'GET /', 'sign in first');
    expect(desk.audit.check().rows).toBe(before + 1);
    clock.advanceTo(clock.nowMs() + 600_000);
    desk.noteRefusal(ACTOR, 'GET /', 'sign in first');
    expect(desk.audit.list(1)[0]?.outcome).toContain('499 refusals before this one');
    for (let each = 0; each < 500; each += 1) {
      desk.noteRefusal({ ...ACTOR, address: `198.51.100.${each}` }, 'GET /', 'sign in first');
    }
    expect(desk.audit.check().rows).toBeLessThanOrEqual(before + 101);
  });

  test('has no control characters in it, and no endless lines', () => {
    const { desk } = deskIn();
    desk.noteAct({ ...ACTOR, who: '\u001b[2J\nroot' }, 'a\u202eb', 'x'.repeat(5000), 'done');
    const [entry] = desk.audit.list(1);
    expect(entry).toMatchObject({ who: '?[2J?root', act: 'a?b' });
    expect(entry?.object.length).toBe(256);
  });
});
