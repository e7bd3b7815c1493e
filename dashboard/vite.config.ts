import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { brotliCompressSync, gzipSync } from 'node:zlib';
import { defineConfig, type Plugin } from 'vite';

const OUT = join(import.meta.dirname, '../.build/dashboard');
const WORKER = 'service-worker.js';

/** Every file of the built page, relative to its folder, in a fixed order. */
function builtFiles(): string[] {
  const found = readdirSync(OUT, { recursive: true, withFileTypes: true });
  return found
    .filter((own) => own.isFile())
    .map((own) => join(own.parentPath, own.name).slice(OUT.length + 1))
    .sort();
}

/** Tells the service worker which files there are, then lays a compressed copy beside each. */
const finish: Plugin = {
  name: 'finish',
  apply: 'build',
  closeBundle() {
    const files = builtFiles().filter((file) => file !== WORKER);
    const mark = createHash('sha256');
    for (const file of files) mark.update(file).update(readFileSync(join(OUT, file)));
    const kept = files.filter((file) => file !== 'index.html');
    const worker = readFileSync(join(OUT, WORKER), 'utf8')
      .replaceAll('PAGE_FILES', () => JSON.stringify(kept))
      .replaceAll('PAGE_MARK', () => JSON.stringify(mark.digest('hex').slice(0, 16)));
    writeFileSync(join(OUT, WORKER), worker);
    for (const file of builtFiles().filter((own) => /\.(html|js|css|svg|webmanifest)$/.test(own))) {
      const content = readFileSync(join(OUT, file));
      writeFileSync(join(OUT, `${file}.br`), brotliCompressSync(content));
      writeFileSync(join(OUT, `${file}.gz`), gzipSync(content, { level: 9 }));
    }
  },
};

// No inline script or style may come out of this build: the daemon's content security policy
// refuses them. The preload polyfill would be one, and every browser we support preloads by itself.
export default defineConfig({
  root: import.meta.dirname,
  base: './',
  publicDir: 'public',
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  plugins: [finish],
  build: {
    outDir: '../.build/dashboard',
    emptyOutDir: true,
    target: 'es2022',
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    rolldownOptions: {
      input: {
        index: join(import.meta.dirname, 'index.html'),
        'service-worker': join(import.meta.dirname, 'offline/service-worker.ts'),
      },
      output: {
        entryFileNames: ({ name }) =>
          name === 'service-worker' ? WORKER : 'assets/[name]-[hash].js',
      },
    },
  },
});
