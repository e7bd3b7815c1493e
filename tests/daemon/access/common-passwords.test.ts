/** The passwords that everybody tries first are taken by nobody, and the list of them is read late. */
import { createRequire } from 'node:module';
import { expect, test } from 'vitest';
import { isCommonPassword, listedPasswords } from '../../../daemon/access/common-passwords.ts';
import { objectionToPassword } from '../../../daemon/access/passwords.ts';
import { ACTOR, deskIn, PASSWORD } from './fixtures.ts';

const isListRead = (): boolean =>
  Object.keys(createRequire(import.meta.url).cache).some((file) =>
    file.includes('language-common'),
  );

// First in this file: afterwards it is read.
test('the list is read when a password is set, and not before', async () => {
  const { desk } = deskIn();
  await desk.signIn('Ann', PASSWORD, '192.0.2.1');
  expect(isListRead()).toBe(false);
  expect(await desk.list.add(ACTOR, { name: 'Ann', role: 'crew', password: PASSWORD })).toBeNull();
  expect(isListRead()).toBe(true);
});

// ASVS 5.0 6.2.4: the 3,000 most common that the other rules would let through.
test('none of the 3,000 most common that are long enough', async () => {
  const long = [...(await listedPasswords())].filter((each) => each.length >= 8);
  expect(long.length).toBeGreaterThan(3000);
  for (const each of long.slice(0, 3000)) {
    expect(await objectionToPassword(each, 'Ann'), each).toMatch(/tried first/);
  }
  // In the lists of leaked passwords that are published every year; from memory.
  for (const each of ['password', '12345678', 'iloveyou', 'sunshine', 'trustno1', '1qaz2wsx']) {
    expect(long.slice(0, 3000)).toContain(each);
    expect(await isCommonPassword(each.toUpperCase())).toBe(true);
  }
  expect(await isCommonPassword(PASSWORD)).toBe(false);
});
