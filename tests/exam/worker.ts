/** One worker process of `npm run exam`: examines one random shop after the other as it is asked to. */
import type { ExamRecord } from './records.js'
import { examineRandom } from './shops.js'

export type ToWorker = { number: number; days: number }
export type FromWorker = { progress: number } | { record: ExamRecord } | { failed: string }

const say = (message: FromWorker): void => {
  process.send?.(message)
}

process.on('message', async ({ number, days }: ToWorker) => {
  let said = Date.now()
  try {
    const record = await examineRandom(number, days, progress => {
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
