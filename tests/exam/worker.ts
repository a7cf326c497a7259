/** One worker process of `npm run exam`: examines one random shop after the other as it is asked to. */
import { type BedRecord, examineBed } from './bed/bed.js'
import type { MorningsRecord } from './mornings.js'
import type { PartsRecord } from './parts.js'
import type { ExamRecord } from './records.js'
import {
  examineRandom,
  examineRandomMornings,
  examineRandomParts,
  examineRandomSensors,
  examineRandomSources,
} from './shops.js'
import type { SourcesRecord } from './sources.js'
import type { SuspectsRecord } from './suspects.js'

/** What is examined of a shop, and what comes of it. */
export interface Examined {
  bed: BedRecord[]
  all: ExamRecord
  mornings: MorningsRecord
  sensors: SuspectsRecord
  sources: SourcesRecord[]
  parts: PartsRecord
}
export type ToWorker = { what: keyof Examined; number: number; days: number }
export type FromWorker = { progress: number } | { record: Examined[keyof Examined] } | { failed: string }

const examinations = {
  bed: examineBed,
  all: examineRandom,
  mornings: examineRandomMornings,
  sensors: examineRandomSensors,
  parts: examineRandomParts,
  sources: examineRandomSources,
}

const say = (message: FromWorker): void => {
  process.send?.(message)
}

process.on('message', async ({ what, number, days }: ToWorker) => {
  let said = Date.now()
  try {
    const record = await examinations[what](number, days, progress => {
      if (Date.now() - said < 500) return
      said = Date.now()
      say({ progress })
    })
    say({ record })
  } catch (error) {
    say({ failed: `shop ${number}: ${(error as Error).stack ?? error}` })
  }
})
process.on('disconnect', () => process.exit(0))
