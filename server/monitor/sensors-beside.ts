import { isThermometer } from '../../core/shop.js'
import { levelSpacing } from '../../core/trust/index.js'
import { grouped } from '../grouped.js'
import type { Reading } from '../ingest/reading.js'
import { type LevelWatch, meanOfStep, stepEndingWith, takeStep } from './level-watch.js'
import { besideEachOther, machineOf, type Neighbourhood } from './neighbourhood.js'
import { bucketAt } from './recent-means.js'
import type { SensorRecord } from './sensor-record.js'

/** buckets; after a longer jump only what is new since counts */
const longestJump = 12

/** All thermometers of a shop side by side: what the others say of each, bucket by bucket. */
export class SensorsBeside {
  private readonly all = new Map<string, Neighbourhood>()
  /** of each machine */
  private levels: LevelWatch[][] = []
  /** buckets up to which they were judged, and up to which was learned what they usually do */
  private judged = Number.NaN
  private learned = Number.NaN

  /** The sensors that there are from now on. */
  reshape(neighbourhoods: Iterable<Neighbourhood>): void {
    this.all.clear()
    for (const each of neighbourhoods) if (isThermometer(each.record.sensor)) this.all.set(each.record.sensor.id, each)
    const neighbours = besideEachOther([...this.all.values()].map(({ record }) => record))
    for (const each of this.all.values()) each.meet(neighbours(each.record))
    const onMachines = [...this.all.values()].filter(({ record }) => machineOf(record) !== '')
    this.levels = [...grouped(onMachines, ({ record }) => machineOf(record)).values()].map(together => {
      const followed = new Set(together.map(({ level }) => level.reference))
      return together.map(({ level }) => level).filter(({ reference, record }) => reference || followed.has(record))
    })
  }

  /** @returns whether there was a new bucket to judge by */
  judgeUpTo(bucket: number): boolean {
    if (Number.isNaN(this.judged)) this.judged = bucket
    const isNew = bucket > this.judged
    for (let b = Math.max(this.judged + 1, bucket - longestJump); b <= bucket; b++) this.judge(b, false)
    this.judged = Math.max(this.judged, bucket)
    return isNew
  }

  private judge(bucket: number, isLearning: boolean): void {
    const step = stepEndingWith(bucket)
    if (step !== null)
      for (const watches of this.levels) {
        // one that strayed is still watched, so that its doubt can end
        const strayed = new Set(watches.map(({ fault }) => fault))
        const of = (record: SensorRecord) => {
          const fault = record.fault()
          return fault && !strayed.has(fault) ? Number.NaN : meanOfStep(record, step)
        }
        takeStep(watches, step, of, isLearning)
      }
    for (const each of this.all.values()) {
      each.judge(bucket, isBelieved, isLearning)
      if (!isLearning) each.record.noteFault()
    }
  }

  /**
   * What the sensors usually do is learned from what was stored, bucket by bucket, before anything is judged.
   *
   * @param now ms; of what is taken in next
   */
  learn(now: number): void {
    if (!Number.isNaN(this.judged)) return
    const bucket = bucketAt(now) - 1
    if (this.learned === bucket) return
    const first = Number.isNaN(this.learned) ? bucket : this.learned + 1
    for (let b = Math.max(first, bucket - longestJump); b <= bucket; b++) this.judge(b, true)
    this.learned = bucket
  }

  /** What was usual of the sensors, from means of half hours in order of time, °C without offsets. */
  remember(means: readonly Pick<Reading, 'sensor' | 'at' | 'value'>[]): void {
    const stepOf = ({ at }: Pick<Reading, 'at'>) => Math.floor(at / 1000 / levelSpacing)
    for (let i = 0; i < means.length; ) {
      const step = stepOf(means[i]!)
      const values = new Map<string, number>()
      for (; i < means.length && stepOf(means[i]!) === step; i++) values.set(means[i]!.sensor, means[i]!.value)
      const of = ({ sensor: { id, offset } }: SensorRecord) => (values.get(id) ?? Number.NaN) + offset
      for (const watches of this.levels) takeStep(watches, step, of, true)
    }
  }

  /** How a body settles, as identified, s; null: as configured. */
  setTimeConstant(machine: string, node: string, identified: number | null): void {
    for (const { record } of this.all.values()) {
      const { at } = record.sensor
      if (at.kind === 'node' && at.machine === machine && at.node === node)
        record.timeConstant = identified ?? record.node?.timeConstant ?? record.timeConstant
    }
  }
}

const isBelieved = (record: SensorRecord): boolean => !record.fault() && !record.earning
