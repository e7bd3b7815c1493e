/** Mistakes in what the settings say of sensors and of an outside broker, and the words for them. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, onTestFinished, test } from 'vitest';
import { checkSettings } from '../../../daemon/check.ts';
import { makeSensorToken } from '../../../daemon/sensor-token.ts';
import { readSettings } from '../../../daemon/settings/read-settings.ts';
import { DEFAULT_SETTINGS, settingsSchema } from '../../../daemon/settings/settings.ts';

const HASH = 'a'.repeat(64);
const problems = (text: string): string[] => {
  const read = readSettings(text, 's.yaml', settingsSchema);
  return 'problems' in read ? read.problems : [];
};
const sensor = (name: string, rest: string): string =>
  `sensors:\n  credentials:\n    ${name}: { ${rest} }\n`;

test('without settings no sensor has a name, and nobody on a network may speak', () => {
  expect(DEFAULT_SETTINGS.sensors).toEqual({ anonymousOnNetwork: false, credentials: {} });
});

describe('a sensor', () => {
  test.each([
    [`tokenHash: '${HASH}', publish: [panel/bow], subscribe: [lamp/order]`],
    [`tokenHash: '${HASH}', publish: [panel/bow/]`],
    ['tokenSecret: bow-token'],
  ])('{ %s } is right', (rest) => expect(problems(sensor('bow', rest))).toEqual([]));

  test.each([
    ['bow', 'publish: [a]', 'either `tokenHash` or `tokenSecret`'],
    ['bow', `tokenHash: '${HASH}', tokenSecret: t`, 'either `tokenHash` or `tokenSecret`'],
    ['bow', 'tokenHash: abc', '64 hexadecimal digits'],
    ['bow', `tokenSecret: t, token: '${HASH}'`, '`token`: no such key'],
    ['bow', 'tokenSecret: t, publish: [panel/+]', 'must be a topic such as panel/bow'],
    ['bow', 'tokenSecret: t, publish: ["#"]', 'must be a topic such as panel/bow'],
    ['bow', 'tokenSecret: t, publish: [$SYS/x]', 'must be a topic such as panel/bow'],
    ['bow', 'tokenSecret: t, publish: [/]', 'must be a topic such as panel/bow'],
    ['bow', 'tokenSecret: t, subscribe: [lamp/#]', 'must be a topic such as panel/bow'],
    ['bow', 'tokenSecret: t, subscribe: [a/b/c/d/e/f/g/h/i/j/k]', 'at most 10 levels'],
    ['"bow clamp"', 'tokenSecret: t', '1 to 64 letters'],
    ['"#"', 'tokenSecret: t', '1 to 64 letters'],
  ])('%s: { %s } is told: %s', (name, rest, words) => {
    const [problem, ...others] = problems(sensor(name, rest));
    expect(problem).toMatch(/^s\.yaml:3:\d+: /);
    expect([problem, others]).toEqual([expect.stringContaining(words), []]);
  });

  test.each([
    ['panel/bow', 'panel/bow'],
    ['panel/bow/', 'panel/bow/volts'],
    ['panel/bow/volts', 'panel/'],
    ['panel/', 'panel/bow/'],
  ])('may not have the topics of another: %s and %s', (one, other) => {
    const text = `sensors:\n  credentials:\n    bow: { tokenSecret: t, publish: [${one}] }\n    mast: { tokenSecret: u, publish: [x, ${other}] }\n`;
    expect(problems(text)).toEqual([
      expect.stringMatching(
        /^s\.yaml:4:\d+: `sensors\.credentials\.mast\.publish\.1`: bow already/,
      ),
    ]);
  });
});

describe('an outside broker', () => {
  test.each([
    ['{ passwordSecret: p }', 'a password needs a `user`'],
    ['{ user: panel, password: p }', '`password`: no such key'],
    ['{ caFile: ca.pem }', 'must be a whole path'],
  ])('%s is told: %s', (broker, words) => {
    expect(problems(`broker: ${broker}`)).toEqual([expect.stringContaining(words)]);
  });
});

describe('panelward check --settings', () => {
  const check = (settings: string, secrets: string) => {
    const folder = mkdtempSync(join(tmpdir(), 'panelward-check-'));
    onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
    const file = join(folder, 'settings.yaml');
    writeFileSync(file, settings);
    writeFileSync(join(folder, 'secrets.yaml'), secrets, { mode: 0o600 });
    const lines: string[] = [];
    const code = checkSettings(file, (line) => lines.push(line.replace(`${folder}/`, '')));
    return { code, lines };
  };

  test('finds what is right usable', () => {
    const { token } = makeSensorToken('bow');
    expect(check(sensor('bow', 'tokenSecret: t'), `t: ${token}`)).toEqual({
      code: 0,
      lines: ['settings.yaml: usable'],
    });
  });

  test('names a secret that is not there, with its place', () => {
    const { code, lines } = check(sensor('bow', 'tokenSecret: t'), 'u: x');
    expect(code).toBe(1);
    expect(lines[0]).toMatch(
      /^settings\.yaml:3:\d+: `sensors\.credentials\.bow\.tokenSecret`: there/,
    );
  });

  test('names a token that could be guessed and a certificate that is not there', () => {
    const weak = check(sensor('bow', 'tokenSecret: t'), 't: sesame');
    expect(weak.lines[0]).toContain('shorter than 22 characters');
    expect(JSON.stringify(weak)).not.toContain('sesame');
    const noFile = check('broker: { caFile: /nowhere/ca.pem }', '');
    expect(noFile).toMatchObject({
      code: 1,
      lines: [expect.stringContaining('ENOENT'), expect.anything()],
    });
  });
});

describe('panelward sensor-token', () => {
  test('prints settings that are right, and a token that they do not hold', () => {
    const { token, lines } = makeSensorToken('bow-clamps');
    const settings = lines.slice(lines.indexOf('sensors:'), -1).join('\n');
    expect(problems(settings)).toEqual([]);
    expect(settings).not.toContain(token);
    expect(lines.join('\n').split(token)).toHaveLength(2);
  });

  test('makes 128 random bits every time', () => {
    const tokens = new Set(Array.from({ length: 1000 }, () => makeSensorToken('bow').token));
    expect(tokens.size).toBe(1000);
    for (const token of tokens) expect(Buffer.from(token, 'base64url')).toHaveLength(16);
  });
});
