import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { shopReader } from '../core/sentences/index.js'
import type { Shop } from '../core/shop.js'
import { withOffsetsInForce } from './offsets.js'
import { recoveredMonitor } from './recovery.js'
import { type MorningSettings, readMorningSettings } from './settings/morning.js'
import { runCommand } from './settings/usable.js'
import { describeProblems, readShop } from './shop/index.js'
import { databaseFile } from './store/database.js'
import { openReader, type PastReader } from './store/reader.js'
import { setbacksAt } from './studies/heating/setbacks.js'
import { finestClass, heatingFor } from './studies/heating/start.js'
import { morningCheckOf } from './studies/morning/check.js'
import { createJobAnswers } from './studies/morning/job-answers.js'
import { nightStudy } from './studies/morning/night.js'
import { morningText } from './studies/morning/text.js'

const minute = 60_000
const hour = 60 * minute
/** ms; readings that are older tell of a service that stands: the check is then as of the last of them */
const fresh = 15 * minute

/** What is wrong, where, and what to do; printed as it is. */
class NotToBeHad extends Error {}

const fromService = async (url: string, units: MorningSettings['units']): Promise<string> => {
  const address = `${url}/api/morning.txt${units ? `?units=${units}` : ''}`
  const answer = await fetch(address).catch((error: Error) => {
    throw new NotToBeHad(
      `No service answers at ${url} (${(error.cause as Error | undefined)?.message ?? error.message}). Start it, give ` +
        'another --url, or ask its database: --shop FILE --data FOLDER.',
    )
  })
  if (!answer.ok) throw new NotToBeHad(`The service at ${url} answered ${answer.status} ${answer.statusText}.`)
  return answer.text()
}

/** ms; the newest reading of any sensor: found by the hour first, for most of the past is kept no finer */
const newestReading = async (store: PastReader, { sensors }: Shop): Promise<number | null> => {
  let newest: number | null = null
  for (const { id } of sensors) {
    const last = (await store.series(id, 0, Date.now(), 1000)).points.at(-1)?.at
    if (last === undefined) continue
    for (let from = last; from < Date.now(); from += 2 * hour) {
      const found = (await store.series(id, from, from + 2 * hour, 7200)).points.at(-1)?.at
      if (found === undefined) break
      newest = Math.max(newest ?? 0, found)
    }
  }
  return newest
}

/** The same from the database alone, beside a service or without one: nothing is written. */
const fromDatabase = async (folder: string, file: string, units: MorningSettings['units']): Promise<string> => {
  const read = readShop(file)
  if ('problems' in read) throw new NotToBeHad(describeProblems(read.problems))
  if (!existsSync(join(folder, databaseFile)))
    throw new NotToBeHad(`There is no database in ${folder}: give the --data folder of a service that has run.`)
  const reader = openReader(folder, read.shop)
  try {
    const shop = await withOffsetsInForce(read.shop, reader)
    const newest = await newestReading(reader, shop)
    if (newest === null) throw new NotToBeHad(`The database in ${folder} has no reading of any sensor of ${file}.`)
    const now = Date.now() - newest < fresh ? Date.now() : newest
    const store = { ...reader, facts: { ...reader.facts, record: async () => [] } }
    const monitor = await recoveredMonitor(shop, store, now)
    monitor.advance(now)
    const parts = { shop, store, monitor, clock: () => now }
    const study = await nightStudy(parts, now)
    const heating = await heatingFor(parts, finestClass(shop), machine => setbacksAt(parts, machine, now), now)
    const check = await morningCheckOf({
      ...parts,
      jobAnswers: createJobAnswers(parts),
      night: { now: async () => study },
      heating: { now: async () => heating },
    })
    const whose = shopReader(shop, now)
    return morningText(check, shop, monitor.sensors(), { ...whose, system: units ?? whose.system })
  } finally {
    reader.close()
  }
}

/** `npm run morning`: exit code 2 for settings that cannot be used, 1 when there is no check to be had. */
await runCommand(readMorningSettings(process.argv.slice(2), process.env), async ({ url, shop, data, units }) => {
  process.stdout.write(data && shop ? await fromDatabase(data, shop, units) : await fromService(url, units))
})
