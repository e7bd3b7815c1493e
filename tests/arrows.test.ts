/** The arrows between the folders: who may import whom. See DEVELOPERS.md. */
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, normalize, relative } from 'node:path';
import { describe, expect, test } from 'vitest';

const ROOT = new URL('..', import.meta.url).pathname;
const FOLDERS = ['rules', 'daemon', 'dashboard', 'simulator'];
/** Parts of the daemon that do not import each other's values; `daemon.ts` hands each what it needs. */
const DAEMON_PARTS = [
  'intake',
  'store',
  'export',
  'survey',
  'access',
  'api',
  'delivery',
  'heartbeat',
  'ashore',
  'service',
];
const IMPORT =
  /(?:^|\n)\s*(?:import|export)\s+(type\s)?[^;'"]*?\bfrom\s*'([^']+)'|import\('([^']+)'\)|(?:^|\n)import\s*'([^']+)'/g;

interface Import {
  file: string;
  target: string;
  isTypeOnly: boolean;
  isOwn: boolean;
}

function sources(folder: string): string[] {
  return readdirSync(join(ROOT, folder), { recursive: true, encoding: 'utf8' })
    .filter((name) => /\.tsx?$/.test(name) && !name.endsWith('.d.ts'))
    .map((name) => join(folder, name));
}

function importsOf(file: string): Import[] {
  const text = readFileSync(join(ROOT, file), 'utf8');
  return [...text.matchAll(IMPORT)].map((match) => {
    const target = match[2] ?? match[3] ?? match[4] ?? '';
    const isOwn = target.startsWith('.');
    // `import { type A, type B } from` brings in no value either.
    const names = /\{([^}]*)\}/.exec(match[0])?.[1] ?? '';
    const isAllTypes =
      names.trim() !== '' &&
      !/(?:import|export)\s+\w+\s*,/.test(match[0]) &&
      names.split(',').every((name) => name.trim() === '' || name.trim().startsWith('type '));
    // `import('./x.ts').Name` in a type position is followed by a dot and a name, not awaited.
    const isTypeQuery = match[3] !== undefined && !text.includes(`await import('${target}')`);
    return {
      file,
      target: isOwn ? normalize(join(dirname(file), target)) : target,
      isTypeOnly: match[1] !== undefined || isAllTypes || isTypeQuery,
      isOwn,
    };
  });
}

const all = FOLDERS.flatMap((folder) => sources(folder).flatMap(importsOf));
const room = (path: string): string => path.split('/')[0] ?? '';
const words = ({ file, target }: Import): string => `${file} -> ${relative('.', target)}`;

describe('arrows between the folders', () => {
  test('the scan sees the imports that are there', () => {
    expect(all.length).toBeGreaterThan(100);
    expect(all.some((own) => own.isTypeOnly)).toBe(true);
  });

  test('rules import nothing of the project and nothing of Node', () => {
    const wrong = all.filter(
      (own) =>
        room(own.file) === 'rules' &&
        (own.isOwn ? room(own.target) !== 'rules' : own.target.startsWith('node:')),
    );
    expect(wrong.map(words)).toEqual([]);
  });

  test('rules use no clock, no timer and no chance', () => {
    const forbidden =
      /\bDate\.now\b|\bnew Date\(\)|\bMath\.random\b|\bset(?:Timeout|Interval)\b|\bperformance\b/;
    const wrong = sources('rules').filter((file) =>
      forbidden.test(
        readFileSync(join(ROOT, file), 'utf8').replaceAll(/\/\*[\s\S]*?\*\/|\/\/.*/g, ''),
      ),
    );
    expect(wrong).toEqual([]);
  });

  test('the daemon imports rules and itself', () => {
    const wrong = all.filter(
      (own) =>
        room(own.file) === 'daemon' && own.isOwn && !['rules', 'daemon'].includes(room(own.target)),
    );
    expect(wrong.map(words)).toEqual([]);
  });

  test("the daemon's parts take types, never values, from each other", () => {
    const part = (path: string): string => path.split('/')[1] ?? '';
    const wrong = all.filter(
      (own) =>
        own.isOwn &&
        !own.isTypeOnly &&
        room(own.file) === 'daemon' &&
        room(own.target) === 'daemon' &&
        DAEMON_PARTS.includes(part(own.file)) &&
        DAEMON_PARTS.includes(part(own.target)) &&
        part(own.file) !== part(own.target),
    );
    expect(wrong.map(words)).toEqual([]);
  });

  test('only the clock tells the time in the daemon', () => {
    const forbidden =
      /\bDate\.now\b|\bnew Date\(\)|\bset(?:Timeout|Interval)\(|\bperformance\.now\b/;
    const wrong = sources('daemon')
      .filter((file) => file !== 'daemon/clock.ts')
      .filter((file) =>
        forbidden.test(
          readFileSync(join(ROOT, file), 'utf8').replaceAll(/\/\*[\s\S]*?\*\/|\/\/.*/g, ''),
        ),
      );
    expect(wrong).toEqual([]);
  });

  test('the dashboard takes types only, from the rules and from the contract of the API', () => {
    const wrong = all.filter(
      (own) =>
        room(own.file) === 'dashboard' &&
        own.isOwn &&
        room(own.target) !== 'dashboard' &&
        !(own.isTypeOnly && ['rules', 'daemon'].includes(room(own.target))),
    );
    expect(wrong.map(words)).toEqual([]);
  });

  test('the simulator never imports the daemon, and of the rules only the boat description', () => {
    const allowed = (target: string): boolean =>
      target === 'rules/index.ts' || target.startsWith('rules/boat/');
    const wrong = all.filter(
      (own) =>
        room(own.file) === 'simulator' &&
        own.isOwn &&
        room(own.target) !== 'simulator' &&
        !allowed(own.target),
    );
    expect(wrong.map(words)).toEqual([]);
  });
});
