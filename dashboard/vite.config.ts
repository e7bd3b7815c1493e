import { defineConfig } from 'vite';

// No inline script or style may come out of this build: the daemon's content security policy
// refuses them. The preload polyfill would be one, and every browser we support preloads by itself.
export default defineConfig({
  root: import.meta.dirname,
  base: './',
  publicDir: 'public',
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  build: {
    outDir: '../.build/dashboard',
    emptyOutDir: true,
    target: 'es2022',
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
  },
});
