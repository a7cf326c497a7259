import { quantile } from '../statistics/quantile.js'
import type { Cause, CauseKind, Interval, Part, SourcesAnswer } from './answer.js'
import { correlationOf } from './correlation.js'
import { learnedCauses, type ShopEffects, type Which } from './effects.js'
import { meanOf, varianceOf } from './known.js'
import type { MachineEffects, MachineOverSpan, NodeEffects } from './machine-effects.js'
import { addedWithMisfit, isRough, shareWithMisfit } from './misfit.js'
import type { ShopModel } from './model.js'

/** how many drawings of the model are looked at */
const drawings = 24

type Told = Pick<SourcesAnswer, 'causes' | 'main' | 'answering' | 'inseparable' | 'movement' | 'shareSum'>

/** Movements of a machine over a span: of its bodies, its air and the growth of one axis. */
interface Movements {
  bodies: number
  air: number
  growth: number
}

/**
 * What each cause did to a machine over a span, by the learned model with the cause and without it.
 *
 * @param begin index of the span's first interval
 * @param sources of the shop, in its order
 */
export const shares = (
  model: ShopModel,
  effects: ShopEffects,
  machine: MachineOverSpan,
  onMachine: MachineEffects,
  begin: number,
  sources: readonly { id: string; name: string; kind: 'door' | 'vent' | 'heat source' }[],
): Told => {
  const { nodes } = machine
  const bodies = nodes.flatMap(({ kind }, n) => (kind === 'body' ? [n] : []))
  const air = nodes.findIndex(({ kind }) => kind === 'air')
  const growth = growthOf(machine, null, begin)
  const after = (course: Float64Array, less?: Float64Array) =>
    course.subarray(begin).map((value, i) => value - (less ? less[begin + i]! : 0))
  const whole = variances(n => after(nodes[n]!.temperature), bodies, air, after(growth))
  const moved = deviations(whole, bodies.length)

  const partsOf = (
    causes: readonly string[],
    of: (which: Which) => NodeEffects = which => onMachine.of(causes, which),
  ) => {
    const each = (which: Which) => {
      const did = of(which)
      const grown = growthOf(machine, did, begin)
      const added = variances(n => after(did[n]!), bodies, air, after(growth, grown))
      return {
        grown,
        without: variances(n => after(nodes[n]!.temperature, did[n]!), bodies, air, after(grown)),
        added: deviations(added, bodies.length),
      }
    }
    const likely = each(null)
    const drawn = Array.from({ length: drawings }, (_, which) => each(which))
    const kinds = causes.map(id => sources.find(source => source.id === id)?.kind ?? (id as CauseKind))
    const byDays = (figure: (of: typeof likely) => number): Interval => around(figure(likely), drawn.map(figure))
    const shareByDays = (of: keyof Movements) => byDays(({ without }) => shareOf(without[of], whole[of]))
    const addedByDays = (of: keyof Movements) => byDays(({ added }) => added[of])
    const part = (of: keyof Movements): Part => ({
      share: shareWithMisfit(shareByDays(of), moved[of] > 0 ? likely.added[of] / moved[of] : 0, kinds),
      added: addedWithMisfit(addedByDays(of), moved[of], kinds),
    })
    const course = growth.map((value, i) => value - likely.grown[i]!)
    return {
      parts: { bodies: part('bodies'), air: part('air'), growth: part('growth') },
      course,
      byDays: shareByDays('growth'),
    }
  }

  const learned = learnedCauses(model)
  const answering = sources.flatMap(({ id }) => (effects.isHeating(id) ? [id] : []))
  const told: { id: string; kind: CauseKind; name: string; active: number | null; knownBy: Cause['knownBy'] }[] = [
    ...sources
      .filter(({ id }) => !answering.includes(id))
      .map(({ id, name, kind }) => {
        const drive = effects.drives.find(({ source }) => source.id === id)
        const isKnown = drive && learned.has(id)
        const active = drive ? mean(drive.active.subarray(begin)) : null
        return { id, kind, name, active, knownBy: isKnown ? drive.knownBy : ('not at all' as const) }
      }),
    ...(learned.has('outdoors') ? [nameless('outdoors')] : []),
    nameless('own work'),
    nameless('week'),
  ]
  const known = new Map(told.map(({ id }) => [id, partsOf([id])]))
  const groups = grouped([...model.alike, ...apartUnsure(known, pair => partsOf(pair).byDays)], [...known.keys()])
  const causes: Cause[] = told.map(cause => {
    const own = known.get(cause.id)!.parts
    const group = groups.findIndex(({ causes: those }) => those.includes(cause.id))
    return {
      ...cause,
      ...own,
      air: cause.kind === 'own work' ? null : own.air,
      isRough: isRough(model, cause.id, cause.kind),
      group: group < 0 ? null : group,
    }
  })
  const inseparable = groups.map(({ causes: those, alike }) => {
    const { bodies, growth } = partsOf(those).parts
    return { causes: those, alike, bodies, growth }
  })
  // those that cannot be told apart stand where all of them together belong
  const rank = ({ group, growth: own }: Cause) => (group === null ? own : inseparable[group]!.growth).share.likely
  causes.sort((a, b) => rank(b) - rank(a) || b.growth.share.likely - a.growth.share.likely)
  const all = told.map(({ id }) => id)
  const rest = partsOf([], which => {
    const explained = onMachine.of(all, which)
    return nodes.map(({ temperature }, n) => {
      const middle = mean(temperature.subarray(begin))
      return temperature.map((value, i) => (i < begin ? 0 : value - middle - explained[n]![i]!))
    })
  })
  causes.push({ ...nameless('unexplained'), ...rest.parts, isRough: false, group: null })
  return {
    causes,
    main: mainAmong(causes, inseparable),
    answering,
    inseparable,
    movement: { ...moved, growthRange: rangeOf(growth, begin) },
    shareSum: causes.reduce((sum, { growth: { share } }) => sum + share.likely, 0),
  }
}

const nameless = (kind: 'outdoors' | 'own work' | 'week' | 'unexplained') => ({
  id: kind,
  kind,
  name: '',
  active: null,
  knownBy: kind === 'unexplained' ? ('not at all' as const) : ('state' as const),
})

/**
 * Growth with what a cause did taken away; all 0 where no axis is asked for, NaN before `begin`.
 *
 * @param begin index of the first interval that is wanted
 */
export const growthOf = ({ nodes, growth }: MachineOverSpan, did: NodeEffects | null, begin = 0): Float64Array => {
  const length = nodes[0]!.temperature.length
  const course = new Float64Array(length)
  if (!growth) return course
  course.fill(Number.NaN, 0, begin)
  const now = new Float64Array(nodes.length)
  for (let i = begin; i < length; i++) {
    nodes.forEach(({ temperature }, n) => {
      now[n] = temperature[i]! - (did ? did[n]![i]! : 0)
    })
    course[i] = growth(now)
  }
  return course
}

/** Variances of movements. @param of course of a node, by its index */
const variances = (
  of: (n: number) => Float64Array,
  bodies: readonly number[],
  air: number,
  growth: Float64Array,
): Movements => ({
  bodies: bodies.reduce((sum, n) => sum + (varianceOf(of(n)) || 0), 0),
  air: air < 0 ? 0 : varianceOf(of(air)),
  growth: varianceOf(growth),
})

/** Standard deviations by variances, the bodies' as the root of their mean. */
const deviations = ({ bodies, air, growth }: Movements, count: number): Movements => ({
  bodies: Math.sqrt(bodies / Math.max(1, count)),
  air: Math.sqrt(air),
  growth: Math.sqrt(growth),
})

const shareOf = (without: number, whole: number): number => (whole > 0 ? 1 - without / whole : 0)

const around = (likely: number, drawn: readonly number[]): Interval => {
  return { likely, low: Math.min(likely, quantile(drawn, 0.05)), high: Math.max(likely, quantile(drawn, 0.95)) }
}

/** 0 where nothing is known */
const mean = (values: ArrayLike<number>): number => meanOf(values) || 0

const rangeOf = (values: Float64Array, begin: number): number => {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]
  for (let i = begin; i < values.length; i++) {
    if (Number.isNaN(values[i]!)) continue
    low = Math.min(low, values[i]!)
    high = Math.max(high, values[i]!)
  }
  return high >= low ? high - low : 0
}

/** of the movement; a cause that likely did less is not named as the main one. Judgement, no source */
const leastMain = 0.1
/** among more than so many nothing is said. Judgement, no source */
const mostMain = 3

/** The cause with the largest share, with those that may have the largest as well: none where too many may, or it may be nothing. */
const mainAmong = (causes: readonly Cause[], inseparable: Told['inseparable']): string[] => {
  const first = new Set<unknown>()
  const units = causes.flatMap(({ id, kind, group, growth }) => {
    if (kind === 'unexplained' || first.has(group ?? id)) return []
    first.add(group ?? id)
    return [
      group === null
        ? { ids: [id], share: growth.share }
        : { ids: inseparable[group]!.causes, share: inseparable[group]!.growth.share },
    ]
  })
  const [most] = units
  if (!most) return []
  const { likely, low } = most.share
  const among = units.filter(
    ({ share }) =>
      share.likely >= leastMain && likely - share.likely <= Math.hypot(likely - low, share.high - share.likely),
  )
  return among.length > mostMain || (among.length < 2 && low <= 0) ? [] : among.flatMap(({ ids }) => ids)
}

/** part of the movement; shares known better than this are told apart in any case. Judgement, no source */
const unsureFrom = 0.15
/** 0..1; two causes cannot be told apart whose common share is known to less than this part of how well each alone is. Judgement, no source */
const surer = 0.5
/** correlation of what two causes did, from which on one may have been taken for the other. Judgement, no source */
const related = 0.5

/** Pairs of causes in a span of which only the sum is known: what the one did might as well have been the other's doing. */
const apartUnsure = (
  parts: ReadonlyMap<string, { byDays: Interval; course: Float64Array }>,
  together: (pair: readonly [string, string]) => Interval,
): ShopModel['alike'] => {
  const half = ({ likely, high }: Interval) => high - likely
  const all = [...parts]
  return all.flatMap(([a, one], i) =>
    all.slice(i + 1).flatMap(([b, other]) => {
      const alone = Math.max(half(one.byDays), half(other.byDays))
      const correlation = Math.abs(correlationOf(one.course, other.course))
      if (alone < unsureFrom || correlation < related || half(together([a, b])) > surer * alone) return []
      return [{ a, b, correlation }]
    }),
  )
}

/** Pairs that are alike, put together: who is like one of a group belongs to it. */
const grouped = (alike: ShopModel['alike'], ids: readonly string[]): { causes: string[]; alike: number }[] => {
  const groups: { causes: string[]; alike: number }[] = []
  for (const { a, b, correlation } of alike) {
    if (!ids.includes(a) || !ids.includes(b)) continue
    const touched = groups.filter(({ causes }) => causes.includes(a) || causes.includes(b))
    const merged = {
      causes: [...new Set([...touched.flatMap(({ causes }) => causes), a, b])],
      alike: Math.min(correlation, ...touched.map(group => group.alike)),
    }
    for (const group of touched) groups.splice(groups.indexOf(group), 1)
    groups.push(merged)
  }
  return groups
}
