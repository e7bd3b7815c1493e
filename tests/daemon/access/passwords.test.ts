/** Passwords: how they are kept and what is taken as one. */
import { scryptSync } from 'node:crypto';
import { describe, expect, test } from 'vitest';
import {
  hashOf,
  hashOfNobody,
  objectionToPassword,
  SCRYPT_COST,
  verify,
} from '../../../daemon/access/passwords.ts';
import { CHEAP, PASSWORD } from './fixtures.ts';

describe('a kept password', () => {
  // RFC 7914, section 12, third test vector: P = "pleaseletmein", S = "SodiumChloride",
  // N = 16384, r = 8, p = 1, dkLen = 64.
  test('is scrypt as RFC 7914 has it', async () => {
    const phc =
      '$scrypt$ln=14,r=8,p=1$U29kaXVtQ2hsb3JpZGU$' +
      'cCO9yzr9c0hGHAbNgf04/2o+7qQT44+qbVD9lRdofLVQylVYT8PzuyuVIqudkKKDvARpUUe5dfWLCp4rQpUEhw';
    const hex =
      '7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2' +
      'd5432955613f0fcf62d49705242a9af9e61e85dc0d651e40dfcf017b45575887';
    expect(
      scryptSync('pleaseletmein', 'SodiumChloride', 64, { N: 16_384, r: 8, p: 1 }).toString('hex'),
    ).toBe(hex);
    const own = phc.replace(
      /[^$]+$/,
      Buffer.from(hex, 'hex').toString('base64').replaceAll('=', ''),
    );
    expect(await verify('pleaseletmein', own, { ln: 14, r: 8, p: 1 })).toEqual({
      isRight: true,
      isOutdated: false,
    });
    expect((await verify('pleaseletmeout', own, CHEAP)).isRight).toBe(false);
  });

  // OWASP Password Storage Cheat Sheet: scrypt at N=2^15, r=8, p=3 is one of its equal rows.
  test('costs what the cheat sheet asks for, and says so itself', async () => {
    expect(SCRYPT_COST).toEqual({ ln: 15, r: 8, p: 3 });
    const phc = await hashOf(PASSWORD, SCRYPT_COST);
    expect(phc).toMatch(/^\$scrypt\$ln=15,r=8,p=3\$[A-Za-z0-9+/]{22}\$[A-Za-z0-9+/]{43}$/);
    expect(await verify(PASSWORD, phc, SCRYPT_COST)).toEqual({ isRight: true, isOutdated: false });
  });

  test('has a salt of its own, and says when its cost is another than today’s', async () => {
    const [one, other] = [await hashOf(PASSWORD, CHEAP), await hashOf(PASSWORD, CHEAP)];
    expect(one).not.toBe(other);
    expect(one).not.toContain(PASSWORD);
    expect(await verify(PASSWORD, one, { ln: 5, r: 1, p: 1 })).toEqual({
      isRight: true,
      isOutdated: true,
    });
  });

  // ASVS 5.0 6.2.8: exactly as received, neither cut nor changed.
  test.each([
    ['with a space before it', ` ${PASSWORD}`],
    ['with a space after it', `${PASSWORD} `],
    ['in capitals', PASSWORD.toUpperCase()],
    ['with one character less', PASSWORD.slice(0, -1)],
  ])('is not right %s', async (_, other) => {
    expect((await verify(other, await hashOf(PASSWORD, CHEAP), CHEAP)).isRight).toBe(false);
  });

  test('of the longest kind counts to its last character', async () => {
    const long = `${'ü'.repeat(127)}a`;
    const phc = await hashOf(long, CHEAP);
    expect((await verify(long, phc, CHEAP)).isRight).toBe(true);
    expect((await verify(`${'ü'.repeat(127)}b`, phc, CHEAP)).isRight).toBe(false);
  });

  test.each([
    '',
    '$scrypt$',
    '$scrypt$ln=63,r=8,p=1$c2FsdHNhbHRzYWx0$aGFzaGhhc2hoYXNoaGFzaGhhc2g',
    'x',
  ])('that cannot be read fits nothing: %j', async (phc) => {
    expect((await verify(PASSWORD, phc, CHEAP)).isRight).toBe(false);
  });

  test('of nobody fits nothing and is another every time', async () => {
    expect(hashOfNobody(CHEAP)).not.toBe(hashOfNobody(CHEAP));
    expect((await verify('', hashOfNobody(CHEAP), CHEAP)).isRight).toBe(false);
  });
});

describe('what is taken as a password', () => {
  // ASVS 5.0 6.2.1, 6.2.4, 6.2.5, 6.2.9.
  test.each([
    ['eight small letters', 'wobbegon'],
    ['only digits', '73920461'],
    ['128 characters', 'kelp'.repeat(32)],
    ['words with spaces', PASSWORD],
    ['eight of another alphabet', 'тюлениха'],
    ['eight pictures', '🐟🦀🐙🦑🐡🐠🐬🐳'],
  ])('%s', async (_, password) => {
    expect(await objectionToPassword(password, 'Ann')).toBeNull();
  });

  test.each([
    ['seven', 'wobbego', /at least 8/],
    ['seven pictures', '🐟🦀🐙🦑🐡🐠🐬', /at least 8/],
    ['129', 'k'.repeat(129), /at most 128/],
    ['a common one', 'password1', /tried first/],
    ['a common one in capitals', 'PassWord123', /tried first/],
    ['a common one with a sign', 'iloveyou!!', /tried first/],
    ['the same over and over', 'abcabcabc', /tried first/],
    ['a run of digits', '23456789', /tried first/],
    ['a run of letters backwards', 'hgfedcba!', /tried first/],
    ['what suggests itself aboard', 'Raspberrypi', /tried first/],
    ['the name', 'Annabella ', /must not be the name/],
  ])('not %s', async (_, password, why) => {
    expect(await objectionToPassword(password, 'annabella')).toMatch(why);
  });
});
