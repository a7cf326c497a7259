import { defineConfig } from 'vitest/config'
import { BaseSequencer, type TestSpecification } from 'vitest/node'

/** What takes longest, in that order: begun first, so that both cores have work until the end. */
const longest = [
  '/browser/pages.',
  '/ingest/kill',
  '/demo/demo.',
  '/browser/wall.',
  '/server/monitor/',
  '/fuzz/requests.',
  '/browser/',
  '/exam/',
  '/server/outages/',
  '/server/ingest/',
]

class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const rank = ({ moduleId, project }: TestSpecification) => {
      // one after another: only then do they share their process
      if (project.name === 'pure') return longest.length + 1
      const found = longest.findIndex(part => moduleId.includes(part))
      return found < 0 ? longest.length : found
    }
    return (await super.sort(files)).sort((a, b) => rank(a) - rank(b))
  }
}

/** Tests of pure functions, which leave nothing behind: files that share a process load what they test once. */
const pure = ['core', 'web', 'simulators', 'published', 'sentences', 'server/shop', 'server/table'].map(
  folder => `tests/${folder}/**/*.test.ts`,
)

export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    // patience for a machine that others use: no test asserts a time
    testTimeout: 180_000,
    hookTimeout: 180_000,
    expect: { poll: { timeout: 60_000 } },
    // two cores: more workers only make the real broker and browser wait for each other
    maxWorkers: 2,
    sequence: { sequencer: LongestFirst },
    projects: [
      { extends: true, test: { name: 'pure', include: pure, isolate: false } },
      { extends: true, test: { name: 'whole', include: ['tests/**/*.test.ts'], exclude: pure } },
    ],
  },
})
