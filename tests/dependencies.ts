/**
 * `tsx tests/dependencies.ts`: which dependencies are outdated or abandoned, with a word on each. Fails when an abandoned one
 * or an override has no word here, or a word has lost what it was about; never because the registry does not answer.
 */
import { execFile } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { promisify } from 'node:util'

/** why each override stands in package.json */
const overrides: Record<string, string> = {
  'light-my-request': 'its later versions ask for a cookie parser that needs Node 22; within what fastify asks for',
  'content-disposition': '3 needs Node 22; only downloads by name use it, which the service does not do',
}

/** why one stays that is older than its newest version, or has had no release for long */
const words: Record<string, string> = {
  '@types/node': 'of the oldest Node that the service runs on',
  '@axe-core/playwright': '4.14 needs Node 22',
  'better-sqlite3': '13 needs Node 22',
  vitest: '5 needs Node 22',
  'prom-client': 'does all that is asked of it, and OpenMetrics does not change',
  'chartjs-plugin-annotation': 'draws lines and bands on charts, and goes with the newest chart.js',
  jstat: 'only tests compare with it; quantiles do not change',
  'github-slugger': 'does as the viewer of a repository does, and that does not change',
  'sparkplug-payload': 'only tests compare with it: the specification’s own encoder',
}

/** months without a release after which a package counts as abandoned */
const longest = 18
/** ms; for one answer of the registry, and questions at once */
const patience = 20_000
const atOnce = 4

interface Package {
  dependencies: Record<string, string>
  devDependencies: Record<string, string>
  overrides?: Record<string, string>
}
const project = JSON.parse(readFileSync(new URL('../package.json', import.meta.url), 'utf8')) as Package
const names = Object.keys({ ...project.dependencies, ...project.devDependencies }).sort()

const npm = async (...args: string[]): Promise<string> => {
  try {
    return (await promisify(execFile)('npm', args, { timeout: patience, maxBuffer: 64 * 1024 * 1024 })).stdout
  } catch (error) {
    // npm outdated ends with 1 when something is outdated
    const { stdout, code } = error as { stdout?: string; code?: number }
    if (args[0] === 'outdated' && code === 1 && stdout?.startsWith('{') && !stdout.includes('"error"')) return stdout
    throw error
  }
}

/** ms since 1970 of the newest release; null when the registry does not tell */
const lastRelease = async (name: string): Promise<number | null> => {
  try {
    const {
      created: _,
      modified: __,
      ...times
    } = JSON.parse(await npm('view', name, 'time', '--json')) as Record<string, string>
    return Math.max(...Object.values(times).map(Date.parse))
  } catch {
    return null
  }
}

const faults: string[] = []
for (const name of Object.keys(project.overrides ?? {}))
  if (!overrides[name]) faults.push(`${name} is overridden in package.json without a word on why`)
for (const name of Object.keys(overrides))
  if (!project.overrides?.[name]) faults.push(`${name} has a word on its override and is not overridden any more`)
for (const name of Object.keys(words))
  if (!names.includes(name)) faults.push(`${name} has a word and is no dependency any more`)

for (const [name, why] of Object.entries(overrides)) console.log(`overridden  ${name}: ${why}`)
try {
  const outdated = JSON.parse((await npm('outdated', '--json')) || '{}') as Record<
    string,
    { current?: string; latest: string }
  >
  for (const [name, { current, latest }] of Object.entries(outdated))
    console.log(`outdated    ${name} ${current ?? 'not installed'}, newest ${latest}: ${words[name] ?? 'no word yet'}`)

  const waiting = [...names]
  const released = new Map<string, number | null>()
  const look = async () => {
    for (let name = waiting.shift(); name; name = waiting.shift()) released.set(name, await lastRelease(name))
  }
  await Promise.all(Array.from({ length: atOnce }, look))
  for (const name of names) {
    const at = released.get(name) ?? null
    if (at === null) {
      console.log(`not seen    ${name}: the registry did not say when it was released`)
      continue
    }
    const months = (Date.now() - at) / (30.44 * 86_400_000)
    if (months < longest) continue
    console.log(`abandoned?  ${name}, no release for ${months.toFixed(0)} months: ${words[name] ?? 'no word'}`)
    if (!words[name])
      faults.push(`${name} has had no release for ${months.toFixed(0)} months and no word on why it stays`)
  }
} catch (error) {
  console.log(`The registry could not be looked into: ${(error as Error).message.split('\n')[0]}`)
}
for (const fault of faults) console.error(fault)
if (faults.length > 0) console.error('Say why in tests/dependencies.ts, or change it.')
process.exitCode = faults.length > 0 ? 1 : 0
