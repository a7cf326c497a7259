import { defineConfig } from 'vite'

/** Builds the pages into dist/web, where the service finds them. `vite build web` */
export default defineConfig({
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  build: {
    outDir: '../dist/web',
    emptyOutDir: true,
    // a strict content security policy forbids inlined scripts and styles
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    reportCompressedSize: true,
  },
  server: { proxy: { '/api': 'http://127.0.0.1:7420' } },
})
