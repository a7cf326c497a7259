import { writeFileSync } from 'node:fs'
import type { Reporter, SerializedError, TestModule } from 'vitest/node'

/** what a run came to; `tests/run.ts` reads it */
export interface Counted {
  passed: number
  failed: number
  skipped: number
  /** files whose process ended before all their tests had; none of their tests is counted */
  lost: string[]
  /** errors outside of all tests, as of a timer left behind; not those of processes that ended */
  errors: number
}

const ended = (error: SerializedError): boolean => error.cause?.message === 'Worker exited unexpectedly'

/** Counts what a run came to, into the file that the environment names. */
export default class CountingReporter implements Reporter {
  onTestRunEnd(modules: readonly TestModule[], errors: readonly SerializedError[]): void {
    const counted: Counted = { passed: 0, failed: 0, skipped: 0, lost: [], errors: 0 }
    counted.errors = errors.filter(error => !ended(error)).length
    for (const module of modules) {
      const states = [...module.children.allTests()].map(test => test.result().state)
      if (module.state() === 'failed' && !states.includes('failed')) counted.failed += 1
      else if (states.length === 0 || states.includes('pending')) {
        counted.lost.push(module.moduleId)
        continue
      }
      for (const state of states) if (state !== 'pending') counted[state] += 1
    }
    writeFileSync(process.env.QUIET_IRON_COUNTED!, JSON.stringify(counted))
  }
}
