import { defineConfig } from 'vite'
import { compressed } from './compressed.js'
import { handbook } from './handbook/plugin.js'

/** Builds the pages into dist/pages, where the service finds them. `vite build web` */
export default defineConfig({
  plugins: [handbook(), compressed()],
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  build: {
    outDir: '../dist/pages',
    emptyOutDir: true,
    // a strict content security policy forbids inlined scripts and styles
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    reportCompressedSize: false,
  },
  server: { proxy: { '/api': 'http://127.0.0.1:7420' } },
})
