import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { DateTime } from 'luxon'
import type { Inspection } from '../../core/inspection/index.js'
import type { Conclusion } from '../../core/investigation/index.js'
import type { Axis, Machine, Shop } from '../../core/shop.js'
import { partAt, temperaturesAt } from '../../server/history/index.js'
import { createDecoder } from '../../server/ingest/decoder.js'
import { openStore, type SqliteStore } from '../../server/store/sqlite.js'
import { investigate } from '../../server/studies/investigation/investigation.js'
import type { MachineTruth, SimulatedShop } from '../../simulators/index.js'
import { type Random, randomStream } from '../../simulators/random.js'
import { trueSizeError } from './truth.js'

const minute = 60_000
const hour = 60 * minute
const day = 24 * hour
/** ms; how finely the truth is kept, and s between two readings of a sensor */
const kept = 5 * minute
const interval = 120
/** features of each shop, with heat and without; parts of each */
const features = 5
const count = 40
/** days after the start before the first part: the history begins somewhere */
const runUp = 1
/** days between two datums */
const zeroEvery = 3
/** m; of a measurement, standard */
const gauge = 0.5e-6
/** m; what heat moves by less (standard deviation) is nobody's scrap, and hardly seen by a gauge */
const leastMovement = 2e-6
/** features that are looked for in vain in a shop that is held too well */
const mostTried = 200

/** What was concluded of one made-up feature of a simulated shop, and what was true of it. */
export interface PartsCase {
  /** 0..1; the share of the variance that heat made; 0: none */
  heat: number
  /** whether tool, lot and so on were written down */
  recorded: boolean
  conclusion: Conclusion
  /** kinds of what spoke against heat, or why nothing could be told */
  doubts: string[]
  explained: { value: number; low: number | null; high: number | null } | null
  /** m; standard deviation of what heat truly made, and of what the prediction was off, each about its mean */
  movement: number
  predictionError: number
}

export interface PartsRecord {
  cases: PartsCase[]
}

const spread = (values: readonly number[]): number => {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length
  return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length)
}

/** What was true of the machines, every five minutes. */
type Kept = { at: number; machines: Record<string, MachineTruth> }[]

/** Lets the shop live and keeps what its sensors send, and what was true. */
const lived = (
  shop: Shop,
  simulated: SimulatedShop,
  store: SqliteStore,
  { from, days, onProgress }: { from: number; days: number; onProgress?: (part: number) => void },
): Kept => {
  const decode = createDecoder(shop.sensors)
  const encoder = new TextEncoder()
  const truth: Kept = []
  const steps = Math.round((days * day) / kept)
  let waiting: Parameters<SqliteStore['append']>[0][number][] = []
  for (let n = 1; n <= steps; n++) {
    const now = from + n * kept
    simulated.advance(
      now,
      ({ topic, payload, time }) => {
        waiting.push(...decode(topic, encoder.encode(payload), { retained: false, receivedAt: time }).readings)
      },
      interval,
    )
    truth.push({ at: now, machines: simulated.truth().machines })
    if (waiting.length < 3000 && n < steps) continue
    store.append(waiting)
    waiting = []
    while (store.sealSome(now));
    onProgress?.(n / steps)
  }
  return truth
}

const wasTrue = (truth: Kept, machine: string, at: number): MachineTruth =>
  truth[Math.min(Math.max(Math.round((at - truth[0]!.at) / kept), 0), truth.length - 1)]!.machines[machine]!

/** What else makes parts differ, each about 1 in size: a worn tool that is changed, lots, a set-up that wanders. */
const otherCauses = (draws: Random, at: readonly number[], midnight: number) => {
  // a tool that is changed each morning wears as the day goes on, just as machines warm up
  const eachMorning = draws.uniform() < 0.3
  const life = Math.round(draws.between(10, 60))
  const [wear, lots, wander] = [draws.between(0, 2), draws.between(0, 1), draws.between(0.4, 1)]
  const changes = Array.from({ length: Math.round(draws.between(0, 4)) }, () => Math.floor(draws.uniform() * at.length))
  const memory = draws.between(0, 0.95)
  let [state, used, lot, offset] = [draws.normal(), 0, 0, draws.normal()]
  const tool: number[] = []
  const lotOf: string[] = []
  const values = at.map((time, i) => {
    const isNewDay = i > 0 && Math.floor((time - midnight) / day) !== Math.floor((at[i - 1]! - midnight) / day)
    if (eachMorning ? isNewDay : used >= life) used = 0
    if (changes.includes(i)) {
      lot += 1
      offset = draws.normal()
    }
    tool.push(used++)
    lotOf.push(`lot ${lot}`)
    state = memory * state + Math.sqrt(1 - memory * memory) * draws.normal()
    return (wear * used) / (eachMorning ? 8 : life) + lots * offset + wander * state
  })
  return { values, tool, lotOf }
}

/** Cuts in working hours, some half days full of them, others empty. */
const cutsIn = (draws: Random, plant: SimulatedShop['plant'], zone: string, from: number, days: number): number[] => {
  const { weekdays } = plant.workingHours
  const working = Array.from({ length: days }, (_, i) => DateTime.fromMillis(from + i * day, { zone }).startOf('day'))
    .filter(date => date.toMillis() >= from && weekdays.includes(date.weekday))
    .map(date => date.toMillis())
  const chosen = working.filter(() => draws.uniform() < 0.9)
  const on = chosen.length > 2 ? chosen : working
  return Array.from(
    { length: count },
    () => on[Math.floor(draws.uniform() * on.length)]! + (6.5 + 9 * draws.uniform()) * hour,
  ).sort((a, b) => a - b)
}

interface Zero {
  at: number
  firstPart: boolean
}

/** What heat truly makes of a feature, m: its size error and the shift since the machine's last zero. */
const trueError = (
  truth: Kept,
  machine: Machine,
  axis: Axis,
  work: { length: number; material: Shop['workClasses'][number]['material'] },
  at: number,
  zero: Zero | null,
): number => {
  const now = wasTrue(truth, machine.id, at)
  const size = (of: MachineTruth) =>
    trueSizeError(axis, { featureLength: work.length, material: work.material } as Shop['workClasses'][number], of)
  if (!zero) return size(now)
  const then = wasTrue(truth, machine.id, zero.at)
  const shift = now.axes[axis.id]!.atWork - then.axes[axis.id]!.atWork
  return size(now) - (zero.firstPart ? size(then) : 0) + (axis.readsDiameter ? 2 : 1) * shift
}

/**
 * Lets a shop live, makes up features of parts that were cut in it and asks the investigation, on what its sensors sent,
 * whether heat made them. What heat truly makes of each part comes from the simulator; what else makes parts differ is
 * drawn, and in half of the features heat makes nothing.
 */
export const examineParts = async (
  shop: Shop,
  simulated: SimulatedShop,
  number: number,
  { from, days, onProgress }: { from: number; days: number; onProgress?: (part: number) => void },
): Promise<PartsRecord> => {
  const folder = mkdtempSync(join(tmpdir(), 'quiet-iron-exam-'))
  const store = openStore(folder)
  try {
    const truth = lived(shop, simulated, store, { from, days, onProgress })
    const draws = randomStream(number, 'investigated parts')
    const now = from + days * day
    const past = { shop, store }
    const zeros = new Map<string, Zero[]>()
    for (const machine of shop.machines) {
      const own: Zero[] = []
      for (let date = runUp; date < days; date += zeroEvery) {
        const at = from + (date + draws.between(0.25, 0.5)) * day
        const temperatures = await temperaturesAt(past, machine, at)
        if (machine.nodes.some(({ id }) => !(id in temperatures))) continue
        const part = await partAt(past, machine, at)
        const firstPart = draws.uniform() < 0.5
        await store.facts.record('datum', [
          { machine: machine.id, at, by: '', note: '', temperatures, firstPart, ...(part !== null && { part }) },
        ])
        own.push({ at, firstPart })
      }
      zeros.set(machine.id, own)
    }
    const record: PartsRecord = { cases: [] }
    for (let tried = 0; tried < mostTried && record.cases.length < 2 * features; tried++) {
      const machine = shop.machines[Math.floor(draws.uniform() * shop.machines.length)]!
      const axis = machine.axes[Math.floor(draws.uniform() * machine.axes.length)]!
      const work = shop.workClasses[Math.floor(draws.uniform() * shop.workClasses.length)]!
      const length = draws.between(0.3, 1) * axis.travel
      const zeroed = draws.uniform() < 0.5 ? ('datum' as const) : ('each part' as const)
      const first = (zeros.get(machine.id)![0]?.at ?? from) + hour
      const at = cutsIn(draws, simulated.plant, shop.timeZone, first, Math.floor((now - first) / day))
      const heated = at.map(time => {
        const zero = zeroed === 'datum' ? (zeros.get(machine.id)!.findLast(each => each.at <= time) ?? null) : null
        return trueError(truth, machine, axis, { length, material: work.material }, time, zero)
      })
      const movement = spread(heated)
      if (!(movement >= leastMovement)) continue
      const heat = record.cases.length < features ? draws.between(0.5, 0.9) : 0
      const midnight = DateTime.fromMillis(from, { zone: shop.timeZone }).startOf('day').toMillis()
      const other = otherCauses(draws, at, midnight)
      const rest = movement ** 2 * (heat > 0 ? (1 - heat) / heat : draws.between(0.5, 2))
      const amount = Math.sqrt(rest - gauge ** 2) / spread(other.values)
      const recorded = draws.uniform() < 0.5
      const inspections = at.map(
        (time, i): Inspection => ({
          id: i + 1,
          import: 1,
          part: 'part',
          serial: String(i),
          machine: machine.id,
          feature: 'feature',
          axis: axis.id,
          longer: 'larger',
          cut: axis.readsDiameter ? 'diameter' : 'one side',
          zeroed,
          nominal: length,
          lower: null,
          upper: null,
          measured: length + (heat > 0 ? heated[i]! : 0) + amount * other.values[i]! + gauge * draws.normal() + 2e-6,
          temperature: null,
          temperatureUncertainty: null,
          gauge: '',
          from: time,
          to: time,
          material: work.material.name,
          tool: '',
          toolCount: recorded ? other.tool[i]! : null,
          sequence: null,
          lot: recorded ? other.lotOf[i]! : '',
          setup: '',
          who: '',
          note: '',
          other: {},
        }),
      )
      const { groups } = await investigate(past, inspections, { workClass: null, moved: 0 }, now)
      const { finding, predicted } = groups[0]!
      record.cases.push({
        heat,
        recorded,
        conclusion: finding.conclusion,
        doubts: finding.doubts.map(({ kind }) => kind),
        explained: finding.explained,
        movement,
        predictionError: spread(
          predicted.parts.flatMap(({ predicted: error }, i) => (error ? [error.error - heated[i]!] : [])),
        ),
      })
    }
    return record
  } finally {
    store.close()
    rmSync(folder, { recursive: true, force: true })
  }
}
