import { execFileSync } from 'node:child_process'
import { dirname, join, relative, resolve } from 'node:path'
import { defineConfig, type Plugin } from 'vitest/config'
import { BaseSequencer, type TestSpecification } from 'vitest/node'
import { patience } from './patience.js'

const root = join(import.meta.dirname, '..')

/**
 * What is tested runs as it was compiled, as it does for those who use it: what vitest makes of sources so that they can be
 * exchanged takes much longer, and a service of such sources longer still until its thread runs.
 */
const asCompiled: Plugin = {
  name: 'as compiled',
  enforce: 'pre',
  resolveId(source, importer) {
    if (!importer || !/^\.\.?\//.test(source)) return null
    const file = relative(root, resolve(dirname(importer), source))
    return /^(core|server|simulators)\/.*\.js$/.test(file) ? join(root, 'dist', file) : null
  },
}
// as the sources are now; `npm run check` looks at their types
execFileSync('npx', ['tsc', '-p', 'tsconfig.json', '--noCheck'], { cwd: root, stdio: 'inherit' })

/** What takes longest, in that order: begun first, so that all workers have work until the end. */
const longest = [
  '/browser/pages.',
  '/demo/demo.',
  '/ingest/kill',
  '/browser/wall.',
  '/fuzz/requests.',
  '/exam/exam.',
  '/browser/spindle.',
  '/monitor/remedies-truth.',
  '/outages/clock.',
  '/exam/heating.',
  '/browser/investigate.',
  '/monitor/common-cause.',
  '/browser/morning.',
  '/monitor/named-causes.',
  '/browser/',
  '/outages/',
  '/shop-model/shop-model.',
  '/ingest/clock-watch.',
  '/monitor/sensor-faults.',
  '/exam/',
  '/simulators/simulate.',
  '/spindle/predict.',
  '/morning/mornings-truth.',
  '/server/ingest/',
  '/server/',
]

class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const rank = ({ moduleId }: TestSpecification) => {
      const found = longest.findIndex(part => moduleId.includes(part))
      return found < 0 ? longest.length : found
    }
    return (await super.sort(files)).sort((a, b) => rank(a) - rank(b))
  }
}

/** What measures the heap has a process of its own: in a shared one it would also measure what the files before it left. */
const measuringHeap = ['fuzz/messages', 'server/broker/limits', 'server/ingest/bounded', 'server/ingest/sparkplug'].map(
  file => `tests/${file}.test.ts`,
)

export default defineConfig({
  plugins: [asCompiled],
  test: {
    root,
    server: { deps: { external: [/\/dist\/(core|server|simulators)\//] } },
    projects: [
      { extends: true, test: { name: 'shared', include: ['tests/**/*.test.ts'], exclude: measuringHeap } },
      {
        extends: true,
        test: { name: 'own process', include: measuringHeap, isolate: true, execArgv: ['--expose-gc'] },
      },
    ],
    // files that share a process load what they test once, which otherwise takes longer than most of them; a test ends what
    // it began, and takes back what it changed of its process
    isolate: false,
    setupFiles: ['tests/setup.ts'],
    // MB; what simulated days leave behind is mostly gone before it must be moved, and a tenth of the work with it
    execArgv: ['--max-semi-space-size=64'],
    // a test has several things to wait for
    testTimeout: 4 * patience,
    hookTimeout: 4 * patience,
    expect: { poll: { timeout: patience } },
    // two cores, and two workers more: many tests wait for a broker, a browser or a process that they have killed
    maxWorkers: 4,
    sequence: { sequencer: LongestFirst },
  },
})
