import { chmodSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { beforeEach, describe, expect, onTestFinished, test } from 'vitest';
import * as z from 'zod';
import { openSettings } from '../../../daemon/settings/open-settings.ts';
import { readSettings } from '../../../daemon/settings/read-settings.ts';
import { readSecrets } from '../../../daemon/settings/secrets.ts';
import { DEFAULT_SETTINGS, settingsSchema } from '../../../daemon/settings/settings.ts';

const schema = z.strictObject({
  room: z
    .strictObject({ port: z.int().max(65_535).optional(), names: z.array(z.string()).default([]) })
    .prefault({}),
});
const problemsOf = (text: string): string[] => {
  const read = readSettings(text, 's.yaml', schema);
  return 'problems' in read ? read.problems : [];
};

describe('a settings file', () => {
  test('that is empty sets nothing', () => {
    for (const text of ['', '# nothing yet\n', '---\n']) {
      expect(readSettings(text, 's.yaml', schema)).toEqual({ settings: { room: { names: [] } } });
    }
  });

  test('has every mistake told at once, each at its line and column', () => {
    const problems = problemsOf('room:\n  port: many\n  names: [a, 7]\n  colour: red\n');
    expect(problems).toEqual([
      's.yaml:2:9: `room.port`: Invalid input: expected number, received string',
      's.yaml:3:14: `room.names.1`: Invalid input: expected string, received number',
      's.yaml:4:11: `colour`: no such key in `room`',
    ]);
  });

  test('that is no YAML says where', () => {
    expect(problemsOf('room:\n  names: [a\n')[0]).toMatch(/^s\.yaml:\d+:\d+: .{10,}/);
    expect(problemsOf('[1, 2]')).toHaveLength(1);
  });

  test('with aliases that unfold without end is refused', () => {
    const bomb = [
      'a: &a [x, x, x, x, x, x, x, x]',
      ...'bcdefgh'.split('').map((name, at) => {
        const below = 'abcdefg'[at];
        return `${name}: &${name} [${Array(8).fill(`*${below}`).join(', ')}]`;
      }),
    ].join('\n');
    expect(problemsOf(bomb)[0]).toContain('alias');
  });

  test('never makes the reader throw (seeded random text)', () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 200, unit: 'binary' }), (text) => {
        readSettings(text, 's.yaml', settingsSchema);
      }),
      { numRuns: 2000 },
    );
  });
});

describe('secrets', () => {
  test('are refused where others can read them, and are never repeated', () => {
    const read = readSecrets('mail: pass-phrase-7', 'secrets.yaml', 0o100644);
    expect(read).toEqual({ problems: [expect.stringContaining('chmod 600')] });
    const wrong = readSecrets('mail: [pass-phrase-7]', 'secrets.yaml', 0o100600);
    expect(JSON.stringify(wrong)).not.toContain('pass-phrase-7');
    expect(readSecrets('mail: pass-phrase-7', 'secrets.yaml', 0o100600)).toEqual({
      secrets: new Map([['mail', 'pass-phrase-7']]),
    });
  });
});

describe('on the disk', () => {
  let folder: string;
  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'panelward-settings-'));
    onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  });

  test('neither file need be there', () => {
    expect(openSettings({ folder })).toEqual({ settings: DEFAULT_SETTINGS, secrets: new Map() });
  });

  test('a settings file that was asked for must be', () => {
    const opened = openSettings({ folder, settingsFile: join(folder, 'mine.yaml') });
    expect(opened).toEqual({ problems: [expect.stringContaining('mine.yaml: cannot be read')] });
  });

  test('a credential of the service manager may show its readers as group rights', () => {
    const secretsFolder = join(folder, 'credentials');
    mkdirSync(secretsFolder);
    const file = join(secretsFolder, 'secrets.yaml');
    writeFileSync(file, 'mail: abc\n');
    chmodSync(file, 0o440);
    expect(openSettings({ folder, secretsFolder })).toMatchObject({
      secrets: new Map([['mail', 'abc']]),
    });
    chmodSync(file, 0o444);
    expect(openSettings({ folder, secretsFolder })).toHaveProperty('problems');
  });

  test('both are read, and the problems of both are told', () => {
    writeFileSync(join(folder, 'settings.yaml'), 'page:\n  names: [panel.example.org]\n');
    writeFileSync(join(folder, 'secrets.yaml'), 'mail: abc\n', { mode: 0o600 });
    expect(openSettings({ folder })).toMatchObject({
      settings: { page: { names: ['panel.example.org'] } },
      secrets: new Map([['mail', 'abc']]),
    });
    writeFileSync(join(folder, 'settings.yaml'), 'page:\n  names: ["https://x"]\n');
    chmodSync(join(folder, 'secrets.yaml'), 0o644);
    const opened = openSettings({ folder });
    expect('problems' in opened && opened.problems).toEqual([
      expect.stringMatching(/settings\.yaml:2:11: `page\.names\.0`: must be a host name/),
      expect.stringContaining('secrets.yaml: others on this computer can read it'),
    ]);
  });
});
