/**
 * `npm test`: installs what the tests need beyond npm packages (or says which command does), builds, runs all tests, and
 * ends with a line that counts them.
 */
import { spawnSync } from 'node:child_process'
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Counted } from './counting-reporter.js'

const root = new URL('..', import.meta.url).pathname

const needed = [
  { name: 'chromium', program: '/usr/bin/chromium', for: 'the browser tests' },
  { name: 'mosquitto', program: '/usr/sbin/mosquitto', for: 'the tests against a real MQTT broker' },
]

const run = (command: string, args: string[]): number => {
  const { status, error } = spawnSync(command, args, { cwd: root, stdio: 'inherit' })
  if (error) console.error(`${command} could not be started: ${error.message}`)
  return status ?? 1
}

const missing = needed.filter(({ program }) => !existsSync(program))
if (missing.length) {
  const names = missing.map(({ name }) => name)
  const command = `apt-get update && apt-get install -y --no-install-recommends ${names.join(' ')} fonts-dejavu-core`
  const asRoot = process.getuid?.() === 0 && existsSync('/usr/bin/apt-get')
  if (asRoot) {
    console.log(`installing ${names.join(', ')}: ${command}`)
    run('sh', ['-c', `export DEBIAN_FRONTEND=noninteractive; ${command}`])
  }
  const still = missing.filter(({ program }) => !existsSync(program))
  if (still.length) {
    for (const { name, program, for: use } of still) console.error(`missing: ${name} (${program}), needed for ${use}`)
    console.error(`Install with: sudo sh -c '${command}'`)
    console.log('0 passed, 1 failed')
    process.exit(1)
  }
}

const built = run('npm', ['run', 'build'])
if (built !== 0) {
  console.log('0 passed, 1 failed')
  process.exit(built)
}

const folder = mkdtempSync(join(tmpdir(), 'quiet-iron-tests-'))
const vitest = (files: readonly string[]): Counted => {
  const path = join(folder, 'counted.json')
  rmSync(path, { force: true })
  process.env.QUIET_IRON_COUNTED = path
  const reporters = ['--reporter=default', '--reporter=./tests/counting-reporter.ts']
  const status = run('npx', ['vitest', 'run', '--config', 'tests/vitest.config.ts', ...reporters, ...files])
  const none: Counted = { passed: 0, failed: 0, skipped: 0, lost: [], errors: 1 }
  const counted: Counted = existsSync(path) ? JSON.parse(readFileSync(path, 'utf8')) : none
  const clean = counted.failed === 0 && counted.errors === 0 && counted.lost.length === 0 && counted.passed > 0
  return status !== 0 && clean ? { ...counted, errors: 1 } : counted
}

let { passed, failed, skipped, lost, errors } = vitest(process.argv.slice(2))
// A process that ends takes the file it is at with it: none of its tests has failed, and not all have run. Such a file is named
// and run once more, in a process of its own; should that end too, the run has failed.
if (lost.length > 0) {
  console.log(`A process ended in the middle of a file. Once more, by itself: ${lost.join(' ')}`)
  const again = vitest(lost)
  passed += again.passed
  failed += again.failed
  skipped += again.skipped
  errors += again.errors
  lost = again.lost
}
rmSync(folder, { recursive: true, force: true })
// what was lost, and an error outside of all tests, fail the run like a test
failed += lost.length + errors
console.log(`${passed} passed, ${failed} failed, ${skipped} skipped`)
process.exit(failed > 0 || passed === 0 ? 1 : 0)
