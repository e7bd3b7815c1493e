/** `panelward access` on a folder, as somebody at the boat's computer uses it. */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { runAccess } from '../../daemon/access-commands.ts';
import { readArguments } from '../../daemon/arguments.ts';
import { manualClock } from '../../daemon/clock.ts';
import { CHEAP, deskIn, newFolder, PASSWORD, START_MS } from './access/fixtures.ts';

async function typed(folder: string, words: string[], password = PASSWORD) {
  const command = readArguments(['access', ...words]);
  if (!('command' in command) || command.command !== 'access')
    throw new Error(JSON.stringify(command));
  const [said, complained]: [string[], string[]] = [[], []];
  const code = await runAccess(command, {
    folder,
    clock: manualClock(START_MS),
    say: (line) => said.push(line),
    complain: (line) => complained.push(line),
    readPassword: () => Promise.resolve(password),
    cost: CHEAP,
  });
  return { code, said: said.join('\n'), complained: complained.join('\n') };
}

describe('panelward access', () => {
  test('adds, lists, gives another password and removes', async () => {
    const folder = newFolder();
    expect(await typed(folder, ['list'])).toMatchObject({ said: 'Nobody is registered yet.' });
    expect(await typed(folder, ['add', 'Ann', '--role', 'technician'])).toMatchObject({ code: 0 });
    expect(await typed(folder, ['add', 'Cal'])).toMatchObject({ code: 0 });
    expect((await typed(folder, ['list'])).said).toMatch(/^Ann {2}technician.*\nCal {2}crew/);
    const { desk } = deskIn(folder);
    const given = await desk.signIn('Cal', PASSWORD, '192.0.2.1');
    if ('problem' in given) throw new Error(given.problem);
    expect((await typed(folder, ['sessions'])).said).toMatch(/Cal \(crew\) from 192\.0\.2\.1/);
    expect(await typed(folder, ['password', 'Cal'], 'another long one')).toMatchObject({ code: 0 });
    // The daemon beside it sees that at once.
    expect(desk.find(given.token, true)).toBeNull();
    expect(await typed(folder, ['remove', 'cal'])).toMatchObject({ code: 0 });
    expect(await typed(folder, ['remove', 'Ann'])).toMatchObject({
      code: 1,
      complained: expect.stringMatching(/last technician/),
    });
    expect((await typed(folder, ['audit'])).said).toMatch(
      /command line.*remove person {2}Cal {2}done/,
    );
    expect((await typed(folder, ['audit', '--check'])).said).toMatch(/^All 5 entries are there/);
  });

  test('makes a code only while nobody is registered', async () => {
    const folder = newFolder();
    expect((await typed(folder, ['code'])).said).toMatch(/: \d{4} \d{4}\n/);
    await typed(folder, ['add', 'Ann', '--role', 'technician']);
    expect(await typed(folder, ['code'])).toMatchObject({ code: 1 });
  });

  test('refuses a password that anybody would guess, and names nobody', async () => {
    const folder = newFolder();
    expect(await typed(folder, ['add', 'Ann'], 'password1')).toMatchObject({ code: 1 });
    expect(await typed(folder, ['add', 'Ann'], '')).toMatchObject({ code: 1 });
    expect(await typed(folder, ['password', 'Zoe'])).toMatchObject({ code: 1 });
  });

  test('gives a program a token, once, and takes it back', async () => {
    const folder = newFolder();
    expect(await typed(folder, ['tokens'])).toMatchObject({ said: 'No program has a token.' });
    const { said } = await typed(folder, ['token', 'scraper']);
    const [, token = ''] = /^Token of scraper: ([\w-]{43})\n/.exec(said) ?? [];
    const { desk } = deskIn(folder);
    expect(desk.programs.find(token)).toBe('scraper');
    const bytes = readdirSync(folder).map((name) => readFileSync(join(folder, name), 'latin1'));
    expect(bytes.join('')).not.toContain(token);
    expect((await typed(folder, ['tokens'])).said).toMatch(/^scraper {2}since /);
    // Another one for the same name ends the first.
    await typed(folder, ['token', 'scraper']);
    expect(desk.programs.find(token)).toBeNull();
    expect(await typed(folder, ['end-token', 'scraper'])).toMatchObject({ code: 0 });
    expect(await typed(folder, ['end-token', 'scraper'])).toMatchObject({ code: 1 });
    expect(desk.audit.list(10).map(({ act }) => act)).toEqual([
      'end token',
      'make token',
      'make token',
    ]);
  });

  test.each([
    ['add Ann hunter2'],
    ['token'],
    ['tokens scraper'],
    ['add'],
    ['list Ann'],
    ['password'],
    ['rename Ann'],
    ['list --role crew'],
    ['add Ann --role captain'],
    ['list --check'],
  ])('`%s` is a mistake, and shows no word that may be a password', (line) => {
    const read = readArguments(['access', ...line.split(' ')]);
    expect('problem' in read && read.problem).toMatch(/\w{5,}/);
    expect(JSON.stringify(read)).not.toContain('hunter2');
  });
});
