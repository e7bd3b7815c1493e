/** What the page weighs on a boat's thin link: the built files, compressed as they are served. */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { brotliDecompressSync, gunzipSync } from 'node:zlib';
import { expect, test } from 'vitest';

const PAGE = new URL('../../.build/dashboard', import.meta.url).pathname;
const KILO = 1000;

const files = readdirSync(PAGE, { recursive: true, encoding: 'utf8' });
const gzipped = (file: string) => readFileSync(join(PAGE, `${file}.gz`)).length;
const weight = (some: readonly string[]) => some.reduce((sum, file) => sum + gzipped(file), 0);
const isChart = (file: string) => file.includes('chart-drawing');

const html = readFileSync(join(PAGE, 'index.html'), 'utf8');
/** Every address that the page names. */
const named = [...html.matchAll(/(?:src|href)="\.\/([^"]+)"/g)].flatMap(([, file]) => file ?? []);
const first = ['index.html', ...named.filter((file) => /\.(js|css)$/.test(file))];
const ours = files.filter((file) => /\.(js|css)$/.test(file));

test('the first view is at most 100 kB, without the charts', () => {
  expect(first.length).toBeGreaterThanOrEqual(3);
  expect(first.filter(isChart)).toEqual([]);
  expect(weight(first)).toBeLessThanOrEqual(100 * KILO);
});

test('all scripts and styles are at most 130 kB; the charts come besides, on demand', () => {
  expect(ours.filter(isChart)).toHaveLength(1);
  expect(weight(ours.filter((file) => !isChart(file)))).toBeLessThanOrEqual(130 * KILO);
});

test('every compressed copy holds its file, and saves something', () => {
  for (const file of [...ours, 'index.html', 'manifest.webmanifest', 'icon.svg']) {
    const content = readFileSync(join(PAGE, file));
    const [gzip, brotli] = ['gz', 'br'].map((kind) => readFileSync(join(PAGE, `${file}.${kind}`)));
    expect(gunzipSync(gzip ?? '').equals(content)).toBe(true);
    expect(brotliDecompressSync(brotli ?? '').equals(content)).toBe(true);
    expect(gzip?.length).toBeLessThan(content.length);
  }
});

test('the page names nothing outside, and its worker knows every file of it', () => {
  expect(html).not.toMatch(/(src|href)="(https?:)?\/\//);
  const worker = readFileSync(join(PAGE, 'service-worker.js'), 'utf8');
  expect(worker).not.toMatch(/PAGE_FILES|PAGE_MARK/);
  for (const file of ours.filter((own) => own !== 'service-worker.js'))
    expect(worker).toContain(file);
});
