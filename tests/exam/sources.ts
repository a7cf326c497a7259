import type { Shop } from '../../core/shop.js'
import type { Interval, SourcesAnswer } from '../../core/shop-model/index.js'
import type { Past, Span } from '../../server/history/index.js'
import { createDecoder } from '../../server/ingest/decoder.js'
import type { Reading } from '../../server/ingest/reading.js'
import { dueBodies } from '../../server/studies/identification/index.js'
import { fortnight, type SensorMeans } from '../../server/studies/identification/means.js'
import { identifyingNode } from '../../server/studies/identification/node.js'
import { learningShop, prepare, toEnd } from '../../server/studies/shop-model/prepare.js'
import { forgotten, sourcesOf } from '../../server/studies/shop-model/sources.js'
import { without } from '../../server/studies/shop-model/what-if.js'
import type { SimulatedShop } from '../../simulators/index.js'
import { factsInMemory } from '../server/store/facts-in-memory.js'
import { Minutes } from './minutes.js'

const minute = 60_000
const day = 86_400_000
/** days at the end that are asked about */
const asked = 3
const every = 5 * minute

/** ms; when a cause is taken away of a shop that lives so many days from a moment on */
export const removedFrom = (from: number, days: number): number => from + (days - asked) * day - forgotten

/** What is taken away of a shop, to see what it had done. */
export interface Removed {
  /** the source that is shut or off, or what else is otherwise */
  cause: string
}

/** One machine's span, as the service answers and as the simulator knows. */
export interface SourcesRecord {
  shop: number
  machine: string
  axis: string
  /** m; standard deviation of the true growth */
  moved: number
  /** m; root mean square of what a twin is off by in which nothing but puffs of heat are otherwise */
  chance: number
  /** true share of each cause, as the answer means it, and what the answer says */
  causes: {
    cause: string
    true: number
    told: Interval | null
    /** its place in the answer's list, 0 the first; null: it is not in it */
    place: number | null
    /** which of the groups said to be inseparable it is of */
    group: number | null
    /** m; root mean square of what the cause did to the growth over the span, truly and as told, of the difference, and as it is shown */
    effect: { true: number; told: number; off: number | null; shown: Interval } | null
  }[]
  /** causes of which the answer says that one did most */
  among: string[]
  /** whether two doors that were opened together are said to be inseparable; null: there are no such */
  yoked: boolean | null
}

type Courses = Map<string, number[]>

const key = (machine: string, axis: string) => `${machine} ${axis}`

/** Growth of every axis over the span, five minutes each. */
const growthOver = (simulated: SimulatedShop, { from, to }: Span, advance: (at: number) => void): Courses => {
  const found: Courses = new Map()
  for (let at = from; at < to; at += every) {
    advance(at + every / 2)
    for (const [machine, { axes }] of Object.entries(simulated.truth().machines)) {
      for (const [axis, { atWork }] of Object.entries(axes)) {
        const course = found.get(key(machine, axis)) ?? []
        found.set(key(machine, axis), course)
        course.push(atWork)
      }
    }
  }
  return found
}

const variance = (values: readonly number[]): number => {
  const mean = values.reduce((a, b) => a + b, 0) / values.length
  return values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length
}
const spread = (values: readonly number[]): number => Math.sqrt(variance(values))

/** A shop that has lived, and twins of it that lived without one cause each. */
interface Lived {
  /** what is asked about; the courses begin when the causes are taken away */
  span: Span
  from: number
  minutes: Minutes
  truth: Courses
  without: Map<string, Courses>
  /** doors that were opened together */
  yoked: string[]
}

/** the cause that one machine's own work is */
export const ownWork = (machine: string): string => `own work of ${machine}`

/** a twin in which puffs of heat are otherwise: what thermostats that switch at other moments make of it nobody can tell */
export const nothing = 'nothing'

/** so seldom that no sensor reports, s */
const never = 1000 * 86_400

/**
 * Lets a shop live for two weeks, and a twin of it for each cause without that cause in the last days.
 *
 * @param twin of the shop, without what it is told from a moment on
 * @param yoked whether a second door is to be opened whenever the first one is
 */
export const live = (
  shop: Shop,
  twin: (removed: Removed | null) => SimulatedShop,
  settings: { from: number; days: number; yoked: boolean; onProgress?: (part: number) => void },
): Lived => {
  const { from, days, onProgress } = settings
  const span = { from: from + (days - asked) * day, to: from + days * day }
  const removed = removedFrom(from, days)
  const doors = shop.sources.filter(({ kind }) => kind === 'door').map(({ id }) => id)
  const yoked = settings.yoked && doors.length > 1 ? doors.slice(0, 2) : []
  const encoder = new TextEncoder()
  const decode = createDecoder(shop.sensors)
  const step = (simulated: SimulatedShop, to: number, minutes: Minutes | null, shut?: string): void => {
    while (simulated.time() < to) {
      const readings: Reading[] = []
      simulated.advance(
        Math.min(to, simulated.time() + (yoked.length > 0 ? minute / 2 : day)),
        ({ topic, payload, time }) => {
          readings.push(...decode(topic, encoder.encode(payload), { retained: false, receivedAt: time }).readings)
        },
        minutes ? undefined : never,
      )
      minutes?.take(readings)
      const [first, second] = yoked
      if (first && second) simulated.setDoor(second, shut === first ? false : simulated.climate().active[first]!)
    }
  }
  const causes = [
    ...shop.sources.map(({ id }) => id).filter(id => id !== yoked[1]),
    'outdoors',
    'week',
    nothing,
    ...shop.machines.map(({ id }) => ownWork(id)),
  ]
  const minutes = new Minutes()
  const ours = twin(null)
  step(ours, removed, minutes)
  const lived = { from: removed, to: span.to }
  const truth = growthOver(ours, lived, at => step(ours, at, minutes))
  const others = new Map<string, Courses>()
  causes.forEach((cause, i) => {
    onProgress?.((i + 1) / (causes.length + 1))
    const other = twin({ cause })
    step(other, removed, null)
    const isSource = shop.sources.some(({ id }) => id === cause)
    if (isSource) other.setDoor(cause, false)
    others.set(
      cause,
      growthOver(other, lived, at => step(other, at, null, isSource ? cause : undefined)),
    )
  })
  onProgress?.(1)
  return { span, from: removed, minutes, truth, without: others, yoked }
}

/** Whether sensors tell of both of two doors: of one without a sensor nobody can say how it moved. */
const isToldOf = ({ causes }: SourcesAnswer, yoked: readonly string[]): boolean =>
  yoked.length > 0 && yoked.every(id => causes.find(cause => cause.id === id)?.knownBy !== 'not at all')

/** The shop as the service has learned it by the end of the span. */
export const learnedOf = async (shop: Shop, { span, minutes }: Pick<Lived, 'span' | 'minutes'>): Promise<Past> => {
  const facts = factsInMemory()
  const past = { shop, store: { facts, series: minutes.series.bind(minutes) } }
  const read = new Map<string, SensorMeans>()
  for (const { machine, node } of await dueBodies(shop, past.store, span.to))
    await facts.record('identification', [await toEnd(identifyingNode(shop, past.store, machine, node, span.to, read))])
  await facts.record('shop model', [await toEnd(learningShop(past, fortnight(span.to), span.to))])
  return past
}

/** Asks the service where the movement of the span came from, and holds the answer against the twins. */
export const compareSources = async (past: Past, number: number, lived: Lived): Promise<SourcesRecord[]> => {
  const { span, truth, yoked } = lived
  const { shop } = past
  const records: SourcesRecord[] = []
  for (const machine of shop.machines) {
    const prepared = await prepare(past, machine, span, forgotten)
    const taken = { from: lived.from, to: span.to }
    const fromThen = await prepare(past, machine, taken)
    if (!('effects' in prepared && 'effects' in fromThen)) continue
    const answer = sourcesOf(prepared, shop, machine, span, null)
    const axis = answer.axis ?? machine.axes[0]!.id
    const was = truth.get(key(machine.id, axis))!
    const ofSpan = (course: readonly number[]) => variance(course.slice((span.from - lived.from) / every))
    const whole = ofSpan(was)
    const told: SourcesRecord['causes'] = []
    for (const [named, courses] of lived.without) {
      const cause = named === ownWork(machine.id) ? 'own work' : named
      // what another machine's work did is its shop's, and nothing tells it apart
      if (cause === nothing || cause.startsWith(ownWork(''))) continue
      const then = courses.get(key(machine.id, axis))!
      const shut = cause === yoked[0] ? yoked : [cause]
      const isSource = shop.sources.some(({ id }) => id === cause)
      const course = isSource ? without(fromThen, machine, taken, shut) : null
      const ofAxis = course?.axes.find(each => each.axis === axis)
      const said = ofAxis?.was.map((value, i) => (value ?? Number.NaN) - (ofAxis.without[i] ?? Number.NaN))
      const able = said?.every(Number.isFinite) && said.length === was.length ? said : null
      const did = was.map((value, i) => value - then[i]!)
      const ofCause = answer.causes.find(({ id }) => id === cause)
      told.push({
        cause,
        true: 1 - ofSpan(then) / whole,
        told: ofCause?.growth.share ?? null,
        place: ofCause ? answer.causes.indexOf(ofCause) : null,
        group: ofCause?.group ?? null,
        effect: ofCause
          ? {
              true: spread(did),
              told: able ? spread(able) : ofCause.growth.added.likely,
              off: able && spread(did.map((value, i) => value - able[i]!)),
              shown: ofCause.growth.added,
            }
          : null,
      })
    }
    records.push({
      ...{
        shop: number,
        machine: machine.id,
        axis,
        cannot: answer.cannotBeTold,
        moved: Math.sqrt(whole),
        chance: spread(was.map((value, i) => value - lived.without.get(nothing)!.get(key(machine.id, axis))![i]!)),
        causes: told,
        among: answer.main,
      },
      yoked: isToldOf(answer, yoked)
        ? answer.inseparable.some(({ causes }) => yoked.every(id => causes.includes(id)))
        : null,
    })
  }
  return records
}
