import type { Machine } from '../../../core/shop.js'
import {
  type Courses,
  fewestDays,
  learning,
  type MachineCourse,
  MachineEffects,
  ShopEffects,
  type ShopModel,
  type SourcesAnswer,
} from '../../../core/shop-model/index.js'
import type { Past, Span } from '../../history/index.js'
import type { Store } from '../../store/store.js'
import { fortnight, spacing } from '../identification/history.js'
import { CourseReader, sensorsOfShop } from './courses.js'
import { machineCourse } from './machine.js'

const day = 86_400_000
/** ms; a longer span is not looked at in one piece: the shop is another in another season */
const longest = 35 * day
/** ms; how long after a span a model may have been learned, to have seen it */
const saw = 15 * day
/** 0..1; of a span in which the air at the machine must be known */
const knownPart = 0.5
/** ms; half of a fortnight */
const lead = 7 * day
/** intervals that a span must have at least: with five minutes, two hours */
const leastLength = 24

/** All that questions about a machine's span stand on. */
export interface Prepared {
  model: ShopModel
  courses: Courses
  /** index of the first interval of the span */
  begin: number
  /** the machine, with the growth of one of its axes or of none */
  on(axis: string | null): MachineCourse
  effects: ShopEffects
  onMachine: MachineEffects
  restsOn: NonNullable<SourcesAnswer['restsOn']>
}

/** Carries work in steps to its end at once: on the thread nothing else waits. */
export const toEnd = async <T>(steps: AsyncGenerator<void, T> | Generator<void, T>): Promise<T> => {
  for (;;) {
    const step = await steps.next()
    if (step.done) return step.value
  }
}

/** The model of a shop from a span's readings. */
export async function* learningShop(past: Past, span: Span, now: number): AsyncGenerator<void, ShopModel> {
  const reader = new CourseReader(past.shop, past.store, span)
  const courses = yield* reader.courses()
  return yield* learning(courses, past.shop.name, now, sensorsOfShop(past.shop))
}

/** The model that saw a span, or else the newest one of the same sensors; null where none is on record. */
const modelFor = async (past: Past, { from, to }: Span): Promise<ShopModel | null> => {
  const facts: Pick<Store['facts'], 'of' | 'newest'> = past.store.facts
  const rests = sensorsOfShop(past.shop)
  const able = (all: readonly ShopModel[]) => all.filter(model => model.rests === rests)
  const seen = able(await facts.of('shop model', { from: to, to: to + saw }))
  return (
    seen.find(model => model.from <= from && model.to >= to) ?? able(await facts.newest('shop model')).at(-1) ?? null
  )
}

/**
 * Prepares what is asked of a machine's span: the model that was learned in the night and saw it, or one learned from the fortnight
 * up to its end where none is on record.
 *
 * @param ahead ms; how long before the span causes are taken away, so that the shop has forgotten them when it begins
 * @returns why it cannot, in words
 */
export const prepare = async (
  past: Past,
  machine: Machine,
  { from, to }: Span,
  now: number,
  ahead = 0,
): Promise<Prepared | { cannot: string }> => {
  if (to - from > longest) return { cannot: 'The span is longer than five weeks: ask for a shorter one.' }
  if (to - from < leastLength * spacing)
    return { cannot: 'The span is shorter than two hours: too little happens in it.' }
  const air = machine.nodes.find(({ kind }) => kind === 'air')
  if (!air) return { cannot: 'The shop file has no air node for this machine: nothing tells what reaches it.' }
  const known = await modelFor(past, { from, to })
  // without a model of its own, a span is in the middle of what is learned from, where that is over already
  const history = fortnight(Math.min(Math.max(now, to), (from + to) / 2 + lead))
  const before = known && Math.abs(from - known.from) < longest ? known.from : history.from
  const span = { from: Math.min(before, from - ahead), to: known ? to : Math.max(to, history.to) }
  const reader = new CourseReader(past.shop, past.store, span)
  const courses = await toEnd(reader.courses())
  const model = known ?? (await toEnd(learning(courses, past.shop.name, now, sensorsOfShop(past.shop))))
  const place = `${machine.id}/${air.id}`
  const ofAir = [...model.places, ...model.halls].find(each => each.place === place)
  if (!ofAir)
    return {
      cannot: `The air at this machine is not known on ${fewestDays} days of the fortnight: too little to learn from.`,
    }
  const begin = Math.max(1, Math.floor((from - courses.from) / spacing))
  const end = Math.min(courses.length, Math.ceil((to - courses.from) / spacing))
  const cut = cutTo(courses, end)
  const on = await toEnd(machineCourse(past, machine, reader, end))
  const ofSpan = on(null)
    .nodes.find(({ kind }) => kind === 'air')!
    .temperature.subarray(begin)
  const count = ofSpan.reduce((sum, value) => sum + (Number.isNaN(value) ? 0 : 1), 0)
  if (count < knownPart * ofSpan.length) return { cannot: 'The air at this machine is not known in half of the span.' }
  const taken = Math.max(1, begin - Math.round(ahead / spacing))
  const effects = new ShopEffects(model, cut, taken)
  return {
    model,
    courses: cut,
    begin,
    on,
    effects,
    onMachine: new MachineEffects(on(null), effects, courses.spacing, taken),
    restsOn: {
      ...{ learnedAt: model.at, from: model.from, to: model.to },
      ...{ days: ofAir.days, airExplained: ofAir.explained, stored: known !== null },
    },
  }
}

const cutTo = (courses: Courses, end: number): Courses => ({
  ...courses,
  length: end,
  places: courses.places.map(place => ({ ...place, temperature: place.temperature.subarray(0, end) })),
  outdoors: courses.outdoors?.subarray(0, end) ?? null,
  sources: courses.sources.map(source => ({
    ...source,
    state: source.state?.subarray(0, end) ?? null,
    beside: source.beside?.subarray(0, end) ?? null,
  })),
  hour: courses.hour.subarray(0, end),
  weekday: courses.weekday.subarray(0, end),
  works: courses.works.subarray(0, end),
})
