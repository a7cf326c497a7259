import { DateTime } from 'luxon'
import type { Sensor, Shop } from '../../../core/shop.js'
import type { Courses, Place, SourceCourse } from '../../../core/shop-model/index.js'
import {
  type Doubted,
  doubtedStretches,
  type Span,
  sensorsAt,
  stateSensorsOf,
  toldStates,
} from '../../history/index.js'
import type { SeriesPoint, Store } from '../../store/store.js'
import { fingerprint, meanOf, readingMeans, spacing, timesOf } from '../identification/means.js'
import { defaultShifts } from '../morning/shifts.js'

/** places in the shop's air that are looked at; each one's history is held in memory */
const mostShopAir = 12
/** intervals that a state is taken to last when its sensor says nothing, and ms at least */
const silent = 10
const silentLeast = 3_600_000
const piece = 2 * 86_400_000

const airSensorsOf = ({ sensors }: Shop, source: string): Sensor[] =>
  sensors.filter(({ unit, at }) => unit !== 'state' && at.kind === 'source' && at.source === source)

const shopAirOf = ({ sensors }: Shop): Sensor[] =>
  sensors.filter(({ unit, at }) => unit !== 'state' && at.kind === 'shop air').slice(0, mostShopAir)

const outdoorsOf = ({ sensors }: Shop): Sensor[] =>
  sensors.filter(({ unit, at }) => unit !== 'state' && at.kind === 'outdoors')

const fluidsOf = ({ machines }: Shop) =>
  machines.flatMap(machine => machine.nodes.filter(({ kind }) => kind !== 'body').map(node => ({ machine, node })))

/** The sensors that a model of the shop comes from and what it is described by, as text: see `ShopModel.rests`. */
export const sensorsOfShop = (shop: Shop): string =>
  `${description}; ${fingerprint([
    ...shopAirOf(shop),
    ...outdoorsOf(shop),
    ...shop.sources.flatMap(({ id }) => [...stateSensorsOf(shop, id), ...airSensorsOf(shop, id)]),
    ...fluidsOf(shop).flatMap(({ machine, node }) => sensorsAt(shop, machine, node.id)),
  ])}`

/** what a shop is described by: a model of another description is none to ask */
const description = 'halls with a thermostat, each with the sources in it'

/** Reads courses of a shop from what is stored, each sensor once. */
export class CourseReader {
  private readonly read = new Map<string, Float64Array>()
  private doubted: Map<string, Doubted[]> | null = null
  readonly span: Span
  /** what each source's sensor told last, if not too long ago: whether it is open or runs */
  readonly present = new Map<string, boolean>()

  /** @param span ms; is put on whole intervals */
  constructor(
    private readonly shop: Shop,
    private readonly store: Pick<Store, 'series' | 'facts'>,
    { from, to }: Span,
  ) {
    const width = spacing
    this.span = { from: Math.floor(from / width) * width, to: Math.ceil(to / width) * width }
  }

  /** All that the model of the shop is learned from. */
  async *courses(): AsyncGenerator<void, Courses> {
    const { shop, span } = this
    const places: Place[] = []
    for (const sensor of shopAirOf(shop))
      places.push({ id: sensor.id, kind: 'shop air', machine: null, temperature: yield* this.means([sensor]) })
    for (const { machine, node } of fluidsOf(shop)) {
      const sensors = sensorsAt(shop, machine, node.id)
      if (sensors.length === 0) continue
      const kind = node.kind === 'coolant' ? 'coolant' : 'machine air'
      const temperature = yield* this.means(sensors)
      places.push({ id: `${machine.id}/${node.id}`, kind, machine: machine.id, temperature })
    }
    const sources: SourceCourse[] = []
    for (const { id, name, kind } of shop.sources) {
      const state = stateSensorsOf(shop, id)[0]
      const beside = airSensorsOf(shop, id)
      sources.push({
        ...{ id, name, kind },
        state: state ? yield* this.state(state, id) : null,
        beside: beside.length > 0 ? yield* this.means(beside) : null,
      })
    }
    const out = outdoorsOf(shop)
    const outdoors = out.length > 0 ? yield* this.means(out) : null
    const times = timesOf(span)
    return {
      ...{ from: span.from, spacing: spacing / 1000, length: times.length, places, outdoors, sources },
      ...clockOf(shop, times),
    }
  }

  private async *means(sensors: readonly Sensor[]): AsyncGenerator<void, Float64Array> {
    const all: Float64Array[] = []
    for (const sensor of sensors) {
      const own =
        this.read.get(sensor.id) ??
        (yield* readingMeans(this.store, sensor, this.span, (await this.doubtedStretches()).get(sensor.id))).values
      this.read.set(sensor.id, own)
      all.push(own)
    }
    return meanOf(all)
  }

  private async doubtedStretches(): Promise<Map<string, Doubted[]>> {
    this.doubted ??= doubtedStretches(await this.store.facts.newest('trust', this.span.from))
    return this.doubted
  }

  /** Part of each interval that a door stood open or a source ran: what was told last lasts on for a while. */
  private async *state(sensor: Sensor, source: string): AsyncGenerator<void, Float64Array> {
    const { from, to } = this.span
    const length = (to - from) / spacing
    const doubted = (await this.doubtedStretches()).get(sensor.id) ?? []
    const sums = new Float64Array(length)
    const known = new Float64Array(length)
    const longest = Math.max(silentLeast, silent * sensor.interval * 1000)
    const hold = (begin: number, end: number, value: number) => {
      for (let at = Math.max(begin, from); at < Math.min(end, to); ) {
        const i = Math.floor((at - from) / spacing)
        const next = Math.min(from + (i + 1) * spacing, end)
        sums[i]! += value * (next - at)
        known[i]! += next - at
        at = next
      }
    }
    const points: SeriesPoint[] = []
    for (let begin = from - piece; begin < to; begin += piece) {
      for (const point of (await this.store.series(sensor.id, begin, begin + piece, 1440)).points) points.push(point)
      yield
    }
    const states = toldStates(points, doubted, longest)
    for (const { from: begin, to: end, value } of states) hold(begin, end, Math.min(1, Math.max(0, value)))
    const last = states.at(-1)
    if (last && last.to > to) this.present.set(source, last.value >= 0.5)
    return sums.map((sum, i) => (known[i]! > 0 ? sum / known[i]! : Number.NaN))
  }
}

/** Hours since midnight by the shop's clock, and whether a shift begins on that day. @param times ms; beginnings of intervals */
export const clockOf = (
  { shifts = defaultShifts, timeZone }: Shop,
  times: Float64Array,
): Pick<Courses, 'hour' | 'weekday' | 'works'> => {
  const hour = new Float64Array(times.length)
  const weekday = new Uint8Array(times.length)
  const works = new Uint8Array(times.length)
  const days = new Set(shifts.flatMap(shift => shift.days))
  let local = { begin: Number.NEGATIVE_INFINITY, hour: 0, weekday: 0, works: 0 }
  times.forEach((at, i) => {
    const middle = at + spacing / 2
    // clocks change on the full hour, or half past in a few zones
    if (middle - local.begin >= 1_800_000) {
      const begin = Math.floor(middle / 1_800_000) * 1_800_000
      const now = DateTime.fromMillis(begin, { zone: timeZone })
      const works = Number(days.has(now.weekday))
      local = { begin, hour: now.hour + now.minute / 60, weekday: now.weekday - 1, works }
    }
    hour[i] = local.hour + (middle - local.begin) / 3_600_000
    weekday[i] = local.weekday
    works[i] = local.works
  })
  return { hour, weekday, works }
}
