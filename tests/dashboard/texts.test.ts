/**
 * Every word of the page stands in the catalogue, so that another language is another folder: no
 * part, view or drawing holds a text of its own, neither between tags nor where it is read aloud.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { english } from '../../dashboard/texts/english/index.ts';

const ROOT = new URL('../../dashboard', import.meta.url).pathname;
const SAID = /\b(aria-label|title|placeholder|alt)="([^"]*[A-Za-z]{2,}[^"]*)"/g;
/** What stands between two tags, or between a tag and an expression, on the same line or the next. */
const BETWEEN = /(?<!=)>([^<>{}=;()&|?]*[A-Za-z]{2,}[^<>{}=;()&|?]*)(?=<\/|\{|<[a-z])/g;

function literalsIn(source: string): string[] {
  const code = source.replaceAll(/\/\*[\s\S]*?\*\//g, '').replaceAll(/^\s*\/\/.*$/gm, '');
  return [
    ...[...code.matchAll(SAID)].map(([, , text = '']) => text.trim()),
    ...[...code.matchAll(BETWEEN)].map(([, text = '']) => text.trim()),
  ];
}

const files = readdirSync(ROOT, { recursive: true, encoding: 'utf8' }).filter((file) =>
  file.endsWith('.tsx'),
);

test('what it looks for is found where it stands', () => {
  expect(literalsIn('return <p class="soft">Nothing here.</p>;')).toEqual(['Nothing here.']);
  expect(literalsIn('<button aria-label="Close it">{x}</button>')).toEqual(['Close it']);
  expect(literalsIn('<p>\n  Wait for {name}\n</p>')).toEqual(['Wait for']);
  expect(literalsIn('const is = (a: Map<string, string>) => a;')).toEqual([]);
});

test.each(files)('%s holds no text of its own', (file) => {
  expect(literalsIn(readFileSync(join(ROOT, file), 'utf8'))).toEqual([]);
});

/** Every leaf with its path: strings as they are, functions by how many values they take. */
function leaves(node: unknown, path = ''): [string, unknown][] {
  if (typeof node !== 'object' || node === null) return [[path, node]];
  return Object.entries(node).flatMap(([key, part]) => leaves(part, `${path}.${key}`));
}

test('the catalogue holds texts and nothing else, none of them empty but signs', () => {
  const all = leaves(english);
  expect(all.length).toBeGreaterThan(300);
  for (const [path, text] of all) {
    expect({ path, kind: typeof text }).toEqual({
      path,
      kind: typeof text === 'function' ? 'function' : 'string',
    });
    expect({ path, isEmpty: text === '' }).toEqual({ path, isEmpty: false });
  }
});
