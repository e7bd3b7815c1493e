import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { ask, started } from './fixtures.ts';

function builtPage(): string {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-page-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  mkdirSync(join(folder, 'assets'));
  writeFileSync(join(folder, 'index.html'), '<!doctype html><title>panelward</title>');
  writeFileSync(join(folder, 'icon.svg'), '<svg xmlns="http://www.w3.org/2000/svg"/>');
  writeFileSync(join(folder, 'assets', 'index-8d3fa1.js'), 'export {};');
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

  it('is missed clearly when it is not built', async () => {
    const { api } = await started();
    const { status, headers, text } = await ask(api, '/');
    expect(status).toBe(503);
    expect(headers['content-type']).toBe('text/plain; charset=utf-8');
    expect(text).toMatch(/The page is not built\. Run `npm run build`/);
    expect((await ask(api, '/api/v1/panel')).status).toBe(200);
  });
});
