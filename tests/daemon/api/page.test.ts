import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { brotliCompressSync, gzipSync } from 'node:zlib';
import { describe, expect, it, onTestFinished } from 'vitest';
import { ask, started } from './fixtures.ts';

const HTML = '<!doctype html><title>panelward</title>';
const SCRIPT = 'export {};';

function builtPage(): string {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-page-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  mkdirSync(join(folder, 'assets'));
  writeFileSync(join(folder, 'index.html'), HTML);
  writeFileSync(join(folder, 'icon.svg'), '<svg xmlns="http://www.w3.org/2000/svg"/>');
  writeFileSync(join(folder, 'assets', 'index-8d3fa1.js'), SCRIPT);
  for (const [kind, pack] of [
    ['br', brotliCompressSync],
    ['gz', gzipSync],
  ] as const) {
    writeFileSync(join(folder, 'assets', `index-8d3fa1.js.${kind}`), pack(SCRIPT));
    writeFileSync(join(folder, `index.html.${kind}`), pack(HTML));
  }
  writeFileSync(join(folder, '.secret'), 'not for the world');
  return folder;
}

describe('the page', () => {
  it.each([
    ['/', 'text/html; charset=utf-8', 'no-cache'],
    ['/index.html', 'text/html; charset=utf-8', 'no-cache'],
    ['/icon.svg', 'image/svg+xml', 'no-cache'],
    [
      '/assets/index-8d3fa1.js',
      'application/javascript; charset=utf-8',
      'public, max-age=31536000, immutable',
    ],
  ])('%s is served as %s, to be kept as %s', async (path, type, caching) => {
    const { api } = await started({ pageFolder: builtPage() });
    const { status, headers } = await ask(api, path);
    expect(status).toBe(200);
    expect(headers).toMatchObject({ 'content-type': type, 'cache-control': caching });
    expect(headers['content-security-policy']).toMatch(/^default-src 'none'/);
    const again = await ask(api, path, { headers: { 'if-none-match': headers.etag ?? '' } });
    expect(again.status).toBe(304);
  });

  it.each([
    '/.secret',
    '/assets',
    '/assets/',
    '/nothing.js',
    '/..%2f..%2fetc%2fpasswd',
    '/%2e%2e/x',
  ])('%s is not served', async (path) => {
    const { api } = await started({ pageFolder: builtPage() });
    const { status, text } = await ask(api, path);
    expect([403, 404]).toContain(status);
    expect(JSON.parse(text)).toHaveProperty('error.message');
  });

  it.each([
    ['/', 'br, gzip', 'br', 'no-cache'],
    ['/', 'gzip', 'gzip', 'no-cache'],
    ['/assets/index-8d3fa1.js', 'gzip, deflate, br', 'br', 'public, max-age=31536000, immutable'],
    ['/assets/index-8d3fa1.js', 'gzip', 'gzip', 'public, max-age=31536000, immutable'],
    ['/assets/index-8d3fa1.js', 'identity', undefined, 'public, max-age=31536000, immutable'],
  ])('%s goes to a browser that takes %s as %s', async (path, accepted, encoding, caching) => {
    const { api } = await started({ pageFolder: builtPage() });
    const { status, headers } = await ask(api, path, { headers: { 'accept-encoding': accepted } });
    expect(status).toBe(200);
    // RFC 9110, 12.5.5: a cache in between must not give one encoding to whoever wants another.
    expect(headers).toMatchObject({ vary: 'accept-encoding', 'cache-control': caching });
    expect(headers['content-encoding']).toBe(encoding);
    expect(headers['content-type']).toMatch(path === '/' ? /^text\/html/ : /javascript/);
  });

  it('is missed clearly when it is not built', async () => {
    const { api } = await started();
    const { status, headers, text } = await ask(api, '/');
    expect(status).toBe(503);
    expect(headers['content-type']).toBe('text/plain; charset=utf-8');
    expect(text).toMatch(/The page is not built\. Run `npm run build`/);
    expect((await ask(api, '/api/v1/panel')).status).toBe(200);
  });
});
