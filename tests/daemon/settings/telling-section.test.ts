import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { readSettings } from '../../../daemon/settings/read-settings.ts';
import { DEFAULT_SETTINGS, settingsSchema } from '../../../daemon/settings/settings.ts';
import { unknownWays } from '../../../rules/index.ts';

const read = (text: string) => readSettings(text, 's.yaml', settingsSchema);
const problemsOf = (text: string): string[] => {
  const own = read(text);
  return 'problems' in own ? own.problems : [];
};

describe('who is told', () => {
  test('is nobody, in the zone of this computer, where nothing is said', () => {
    const zone = new Intl.DateTimeFormat().resolvedOptions().timeZone;
    expect(DEFAULT_SETTINGS.telling).toEqual({ contacts: {}, timeZone: zone });
  });

  test('has defaults: first, warnings and worse, whenever nobody works on her', () => {
    const own = read(`
telling:
  timeZone: Europe/Amsterdam
  contacts:
    ann: { name: Ann, ways: [mail], quiet: { from: '22:30', to: '07:00' }, morningLine: '07:30' }
    ben: { name: Ben, told: second, ways: [mail], weekly: { day: sunday, at: '18:00' } }
`);
    expect(own).toMatchObject({
      settings: {
        telling: {
          contacts: {
            ann: { told: 'first', priority: 'warning', modes: ['aboard', 'away', 'under way'] },
            ben: { told: 'second', weekly: { day: 'sunday', at: '18:00' } },
          },
        },
      },
    });
  });

  test('is as the example in the README says', () => {
    const readme = readFileSync(new URL('../../../README.md', import.meta.url), 'utf8');
    const [, example = ''] = /```yaml\n(telling:[^`]*)```/.exec(readme) ?? [];
    const own = read(example);
    if ('problems' in own) throw new Error(own.problems.join('\n'));
    expect(Object.keys(own.settings.telling.contacts)).toEqual(['ann', 'ben']);
  });

  test.each([
    ['timeZone: Europe/Amsterdamm', 'time zone such as'],
    ['contacts: { ann: { name: Ann, ways: [] } }', 'at least one way'],
    ['contacts: { ann: { name: Ann } }', 'telling.contacts.ann.ways'],
    ['contacts: { ann: { name: "", ways: [m] } }', 'must not be empty'],
    ['contacts: { ann: { name: Ann, told: second, ways: [m] } }', 'told first'],
    ['contacts: { "Ann B": { name: Ann, ways: [m] } }', 'telling.contacts'],
    ['contacts: { ann: { name: Ann, ways: [m], morningLine: 7:30 } }', 'time of day'],
    ['contacts: { ann: { name: Ann, ways: [m], morningLine: "24:00" } }', 'time of day'],
    [
      'contacts: { ann: { name: Ann, ways: [m], quiet: { from: "22:00", to: "22:00" } } }',
      'different times',
    ],
    ['contacts: { ann: { name: Ann, ways: [m], mode: [away] } }', 'no such key'],
  ])('%s is told as a mistake', (line, problem) => {
    expect(problemsOf(`telling:\n  ${line}\n`).join('\n')).toContain(problem);
  });

  test('names only ways that there are', () => {
    const own = read('telling: { contacts: { ann: { name: Ann, ways: [mial, push] } } }');
    if ('problems' in own) throw new Error(own.problems.join('\n'));
    expect(unknownWays(own.settings.telling, ['mail', 'push'])).toEqual([
      '`telling.contacts.ann.ways`: no way out is called "mial"; nearest is "mail"',
    ]);
  });
});
