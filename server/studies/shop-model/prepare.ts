import type { Machine, Shop } from '../../../core/shop.js'
import {
  type Courses,
  fewestDays,
  learning,
  MachineEffects,
  type MachineOverSpan,
  ShopEffects,
  type ShopModel,
  type SourcesAnswer,
} from '../../../core/shop-model/index.js'
import { type Past, type Span, withOffsetsAt } from '../../history/index.js'
import type { Store } from '../../store/store.js'
import { fortnight, spacing } from '../identification/means.js'
import { CourseReader, sensorsOfShop } from './courses.js'
import { machineCourse } from './machine.js'

const day = 86_400_000
/** ms; a longer span is not looked at in one piece: the shop is another in another season */
const longest = 35 * day
/** ms; how long after a span a model may have been learned, to have seen it */
const saw = 15 * day
/** 0..1; of a span in which the air at the machine must be known */
const knownPart = 0.5
/** intervals that a span must have at least: with five minutes, two hours */
const leastLength = 24

/** What was measured, up to the end of a machine's span, while no model of the shop is on record. */
export interface Measured {
  model: ShopModel | null
  courses: Courses
  /** index of the first interval of the span */
  begin: number
  /** the machine, with the growth of one of its axes or of none */
  on(axis: string | null): MachineOverSpan
}

/** What is asked of a span while no model is on record. */
export const beingLearned =
  'How the shop responds is being learned; this is done beside other work, and takes a minute or two. Ask again then.'

/** All that questions about a machine's span stand on. */
export interface Prepared extends Measured {
  model: ShopModel
  effects: ShopEffects
  onMachine: MachineEffects
  restsOn: NonNullable<SourcesAnswer['restsOn']>
}

/** of a normal distribution, for 90 % */
export const within = 1.645
/** so many times a learned effect is drawn, for how sure it is */
export const drawings = 24

/** What an answer about a machine rests on, by what was learned of the air at it; null: nothing was. */
export const restsOnOf = (
  { at: learnedAt, from, to, places, halls }: ShopModel,
  { id, nodes }: Machine,
): NonNullable<SourcesAnswer['restsOn']> | null => {
  const air = nodes.find(({ kind }) => kind === 'air')
  const learned = [...places, ...halls].find(({ place }) => place === `${id}/${air?.id}`)
  return learned ? { learnedAt, from, to, days: learned.days, airExplained: learned.explained } : null
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

/** The model that saw a span, or else the newest one of the same sensors; null where none is on record yet. */
const modelFor = async ({ shop, store }: Past, current: Shop, { from, to }: Span): Promise<ShopModel | null> => {
  const facts: Pick<Store['facts'], 'of' | 'newest'> = store.facts
  // one of today's offsets does where none is left of then: an offset is hardly anything to what moves
  const rests = [sensorsOfShop(shop), sensorsOfShop(current)]
  const able = (all: readonly ShopModel[]) => rests.flatMap(each => all.filter(model => model.rests === each))
  const seen = able(await facts.of('shop model', { from: to, to: to + saw }))
  return seen.find(model => model.from <= from && model.to >= to) ?? able(await facts.newest('shop model'))[0] ?? null
}

/**
 * Prepares what is asked of a machine's span: what was measured, with the offsets that were in force at its end, and the model that
 * was learned in the night and saw it, or else the newest one.
 *
 * @param ahead ms; how long before the span causes are taken away, so that the shop has forgotten them when it begins
 * @returns why it cannot, in words
 */
export const prepare = async (
  current: Past,
  machine: Machine,
  { from, to }: Span,
  ahead = 0,
): Promise<Prepared | Measured | { cannot: string }> => {
  if (to - from > longest) return { cannot: 'The span is longer than five weeks: ask for a shorter one.' }
  if (to - from < leastLength * spacing)
    return { cannot: 'The span is shorter than two hours: too little happens in it.' }
  const air = machine.nodes.find(({ kind }) => kind === 'air')
  if (!air) return { cannot: 'The shop file has no air node for this machine: nothing tells what reaches it.' }
  const past = await withOffsetsAt(current, to)
  const model = await modelFor(past, current.shop, { from, to })
  const history = model && Math.abs(from - model.from) < longest ? model : fortnight(to)
  const reader = new CourseReader(past.shop, past.store, { from: Math.min(history.from, from - ahead), to })
  const courses = await toEnd(reader.courses())
  const tooLittle = {
    cannot: `The air at this machine is not known on ${fewestDays} days of the fortnight: too little to learn from.`,
  }
  const begin = Math.max(1, Math.floor((from - courses.from) / spacing))
  const on = await machineCourse(past, machine, reader.span)
  const airThen = on(null).nodes.find(({ kind }) => kind === 'air')!.temperature
  if (!model) return (knownOf(airThen) * spacing) / day < fewestDays ? tooLittle : { model, courses, begin, on }
  const restsOn = restsOnOf(model, machine)
  if (!restsOn) return tooLittle
  if (knownOf(airThen.subarray(begin)) < knownPart * (courses.length - begin))
    return { cannot: 'The air at this machine is not known in half of the span.' }
  const taken = Math.max(1, begin - Math.round(ahead / spacing))
  const effects = new ShopEffects(model, courses, taken)
  return {
    ...{ model, courses, begin, on, effects, restsOn },
    onMachine: new MachineEffects(on(null), effects, courses.spacing, taken),
  }
}

const knownOf = (values: Float64Array): number =>
  values.reduce((count, value) => count + (Number.isNaN(value) ? 0 : 1), 0)
