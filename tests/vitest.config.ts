import { defineConfig } from 'vitest/config'

export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    include: ['tests/**/*.test.ts'],
    // patience for a machine that others use: no test asserts a time
    testTimeout: 180_000,
    hookTimeout: 180_000,
    expect: { poll: { timeout: 60_000 } },
    // two cores: more workers only make the real broker and browser wait for each other
    maxWorkers: 2,
  },
})
