/**
 * `npm test`: installs what the tests need beyond npm packages (or says which command does), builds, runs all tests, and
 * ends with a line that counts them.
 */
import { spawnSync } from 'node:child_process'
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

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
const results = join(folder, 'results.json')
const status = run('npx', [
  'vitest',
  'run',
  '--config',
  'tests/vitest.config.ts',
  '--reporter=default',
  '--reporter=json',
  `--outputFile.json=${results}`,
  ...process.argv.slice(2),
])
interface Results {
  numPassedTests: number
  numFailedTests: number
  numPendingTests: number
  testResults: { name: string; assertionResults: { status: string }[] }[]
}
let counted: Results = { numPassedTests: 0, numFailedTests: 1, numPendingTests: 0, testResults: [] }
if (existsSync(results)) counted = JSON.parse(readFileSync(results, 'utf8'))
rmSync(folder, { recursive: true, force: true })
const { numPassedTests: passed, numPendingTests: skipped, testResults } = counted
for (const { name, assertionResults: tests } of testResults)
  if (tests.length === 0 || tests.some(test => test.status === 'pending'))
    console.log(
      `${name} was not done: its process ended. Look for what an earlier file of the same process left behind.`,
    )
// an error outside of all tests, as of a process that ended before its files were done, fails the run like a test
const failed = status !== 0 ? Math.max(1, counted.numFailedTests) : counted.numFailedTests
console.log(`${passed} passed, ${failed} failed, ${skipped} skipped`)
process.exit(status !== 0 ? status : passed === 0 ? 1 : 0)
