import { defineConfig } from 'vite'
import { compressed } from './compressed.js'

/** Builds the pages into dist/web, where the service finds them. `vite build web` */
export default defineConfig({
  plugins: [compressed()],
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  build: {
    outDir: '../dist/web',
    emptyOutDir: true,
    // a strict content security policy forbids inlined scripts and styles
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    reportCompressedSize: false,
  },
  server: { proxy: { '/api': 'http://127.0.0.1:7420' } },
})
