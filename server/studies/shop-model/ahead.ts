import { nameOf } from '../../../core/names.js'
import type { Machine, Shop } from '../../../core/shop.js'
import {
  effectUnsure,
  fewestOpenings,
  isRough,
  learnedCauses,
  openingsOf,
  type PlannedSource,
  ShopAhead,
  type ShopModel,
  type SourcesAhead,
  shopHeating,
  type Which,
} from '../../../core/shop-model/index.js'
import { standardDeviation } from '../../../core/statistics/spread.js'
import type { Past } from '../../history/index.js'
import { fortnight, spacing } from '../identification/means.js'
import { CourseReader, clockOf, sensorsOfShop } from './courses.js'
import { drawings, restsOnOf, toEnd, within } from './prepare.js'

const hour = 3_600_000
/** h; how far a plan is followed: as far as a time is looked for */
const reach = 72
/** h after it changes that the effect of a source is told of */
const told = [1, 4]

/** What is planned for a source, or for the shop's heating. */
export interface PlannedChange {
  source: string
  /** ms */
  at: number
  on: boolean
}

/**
 * What planned changes of doors, vents, heat sources and the heating do to the air and coolant of a machine, by the model of the
 * shop that was learned in the night. Without a plan, what each would do if it were changed now.
 *
 * @param now ms
 */
export const sourcesAheadOf = async (
  past: Past,
  machine: Machine,
  plan: readonly PlannedChange[],
  now: number,
): Promise<SourcesAhead> => {
  const empty: SourcesAhead = {
    ...{ machine: machine.id, at: now, cannotBeTold: null, restsOn: null },
    ...{ sources: [], step: spacing / 1000, nodes: [] },
  }
  const { shop, store } = past
  const model = (await store.facts.newest('shop model')).findLast(({ rests }) => rests === sensorsOfShop(shop))
  if (!model)
    return {
      ...empty,
      cannotBeTold:
        'How the air of this shop responds is not learned yet: that takes three days of readings, and is done every night.',
    }
  const air = machine.nodes.find(({ kind }) => kind === 'air')
  const restsOn = restsOnOf(model, machine)
  if (!restsOn)
    return { ...empty, cannotBeTold: 'Nothing was learned of the air at this machine: it needs a sensor of its own.' }
  const reader = new CourseReader(shop, store, { from: fortnight(now).from, to: now })
  const courses = await toEnd(reader.courses())
  const begin = reader.span.to
  const steps = (plan.length > 0 ? reach : Math.max(...told) + 1) * (hour / spacing)
  const clock = clockOf(
    shop,
    Float64Array.from({ length: steps }, (_, k) => begin + k * spacing),
  )
  const ahead = new ShopAhead(model, courses, clock, reader.present)
  const of = (changes: readonly PlannedChange[]) => {
    const indexed = changes.map(
      ({ source, at, on }): PlannedSource => ({ source, on, at: Math.max(0, Math.round((at - begin) / spacing)) }),
    )
    const each = (which: Which) => ahead.of(indexed, which)
    // how far a setback that is moved is off was not compared with truth: as what a door does
    const unsure = effectUnsure(
      changes.map(({ source }) => shop.sources.find(({ id }) => id === source)?.kind ?? 'door'),
    )
    const likely = each(null)
    const drawn = Array.from({ length: drawings }, (_, which) => each(which))
    const expected = ahead.expected(indexed, null)
    return machine.nodes.flatMap(({ id }) => {
      const place = `${machine.id}/${id}`
      const change = likely.get(place)
      if (!change) return []
      const standardUncertainty = change.map((value, k) =>
        Math.hypot(
          standardDeviation(drawn.map(other => other.get(place)![k]!)),
          (unsure * value) / within,
          ahead.offBy(place, k),
        ),
      )
      const temperature = [...expected.get(place)!]
      return [{ node: id, temperature, change: [...change], standardUncertainty: [...standardUncertainty] }]
    })
  }
  const sources = sourcesOf(shop, model, ahead, reader.present).map(source => {
    if (source.cannotBeTold !== null || plan.length > 0) return { ...source, effect: null }
    const changed = of([{ source: source.source, at: now, on: !source.active }]).find(({ node }) => node === air!.id)!
    const effect = told.map(hours => {
      const k = (hours * hour) / spacing - 1
      const [likely, half] = [changed.change[k]!, within * changed.standardUncertainty[k]!]
      return { likely, low: likely - half, high: likely + half }
    })
    return { ...source, effect }
  })
  return {
    ...empty,
    restsOn,
    sources,
    nodes: plan.length > 0 ? of(plan) : [],
  }
}

/** All sources of a shop and its heating, and why no plan can be made with some of them. */
const sourcesOf = (
  shop: Shop,
  model: ShopModel,
  ahead: ShopAhead,
  present: ReadonlyMap<string, boolean>,
): Omit<SourcesAhead['sources'][number], 'effect'>[] => {
  const learned = learnedCauses(model)
  const why = ({ id, kind }: Shop['sources'][number]): string | null => {
    const isDoor = kind === 'door'
    const drive = ahead.drives.find(({ source }) => source.id === id)
    if (ahead.isHeating(id)) return 'The air itself switches it: it is part of the heating of the shop.'
    const unknown = `No sensor tells when it ${isDoor ? 'is open' : 'runs'}: a contact, or a temperature beside it, would.`
    if (!drive) return unknown
    if (openingsOf(drive, 0).length < fewestOpenings)
      return `In the last two weeks it ${isDoor ? 'was opened' : 'began to run'} fewer than ${fewestOpenings} times: too few to learn from.`
    if (!learned.has(id)) return unknown
    const other = model.alike.find(({ a, b }) => a === id || b === id)
    if (other)
      return `It was ${isDoor ? 'opened' : 'switched'} together with “${nameOf(shop.sources, other.a === id ? other.b : other.a)}” so often that what it does alone cannot be told.`
    if (isRough(model, id, kind))
      return kind === 'vent'
        ? 'What vents do is learned too roughly to plan by: what blows for hours each day hardly differs from what is always there.'
        : 'The air of the shop does not show what it does: a thermostat takes it back, or it runs too little.'
    return null
  }
  const { isSetBack, on } = ahead.heating
  return [
    ...shop.sources.map(source => {
      const drive = ahead.drives.find(each => each.source.id === source.id)
      const active = present.get(source.id) ?? (drive ? drive.active.at(-1)! > 0.5 : null)
      return { source: source.id, name: source.name, kind: source.kind, active, cannotBeTold: why(source) }
    }),
    {
      ...{ source: shopHeating, name: '', kind: 'heating' as const, active: on },
      cannotBeTold: isSetBack
        ? null
        : 'The air of the shop has shown no hours of work: nothing tells that heating or cooling is set back.',
    },
  ]
}
