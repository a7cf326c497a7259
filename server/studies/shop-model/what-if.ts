import type { Machine } from '../../../core/shop.js'
import {
  effectUnsure,
  growthOf,
  isRough,
  learnedCauses,
  type NodeEffects,
  type WhatIfAnswer,
} from '../../../core/shop-model/index.js'
import { standardDeviation } from '../../../core/statistics/spread.js'
import type { Past, Span } from '../../history/index.js'
import { beingLearned, drawings, type Prepared, prepare, within } from './prepare.js'

/**
 * The course of a machine's nodes and of the growth of its axes had sources stayed shut or off from the beginning of a span on, as
 * the learned model of the shop has it. What it was is means of five minutes of readings.
 *
 * @param shut ids of sources
 */
export const machineWithout = async (
  past: Past,
  machine: Machine,
  span: Span,
  shut: readonly string[],
): Promise<WhatIfAnswer> => {
  const prepared = await prepare(past, machine, span)
  return 'effects' in prepared
    ? without(prepared, machine, span, shut)
    : { ...emptyAnswer(machine, span, shut), cannotBeTold: 'cannot' in prepared ? prepared.cannot : beingLearned }
}

const emptyAnswer = ({ id }: Machine, { from, to }: Span, shut: readonly string[]): WhatIfAnswer => ({
  ...{ machine: id, from, to, shut: [...shut], cannotBeTold: null, restsOn: null },
  ...{ alsoMeans: [], isRough: false, axes: [], nodes: [] },
})

/** As `machineWithout`, of a machine's span that is prepared already. */
export const without = (prepared: Prepared, machine: Machine, span: Span, shut: readonly string[]): WhatIfAnswer => {
  const empty = emptyAnswer(machine, span, shut)
  const { courses, begin, effects, onMachine, model, restsOn, on } = prepared
  const learned = learnedCauses(model)
  const unknown = shut.filter(id => !learned.has(id) || !effects.drives.some(({ source }) => source.id === id))
  if (unknown.length > 0)
    return { ...empty, restsOn, cannotBeTold: `No sensor tells enough of ${unknown.join(', ')} to learn what it does.` }
  const heating = shut.filter(id => effects.isHeating(id))
  if (heating.length > 0)
    return {
      ...empty,
      restsOn,
      cannotBeTold: `The air itself switches ${heating.join(', ')}: without its heating the shop would be another one than the model knows.`,
    }
  const kinds = shut.map(id => effects.drives.find(({ source }) => source.id === id)!.source.kind)
  const unsure = effectUnsure(kinds)
  const likely = onMachine.of(shut, null)
  const drawn = Array.from({ length: drawings }, (_, which) => onMachine.of(shut, which))
  const at = Array.from(
    { length: courses.length - begin },
    (_, i) => courses.from + (begin + i) * courses.spacing * 1000,
  )
  const courseOf = (of: (did: NodeEffects | null) => ArrayLike<number>) => {
    const was = of(null)
    const then = of(likely)
    const each = drawn.map(of)
    const rows = at.map((_, i) => {
      const did = then[begin + i]! - was[begin + i]!
      const half = Math.hypot(within * standardDeviation(each.map(course => course[begin + i]!)), unsure * did)
      return { was: was[begin + i]!, without: then[begin + i]!, half }
    })
    const numbers = (value: (row: (typeof rows)[number]) => number) =>
      rows.map(row => (Number.isFinite(value(row)) ? value(row) : null))
    return {
      at,
      was: numbers(row => row.was),
      without: numbers(row => row.without),
      low: numbers(row => row.without - row.half),
      high: numbers(row => row.without + row.half),
    }
  }
  const { nodes } = on(null)
  return {
    ...empty,
    restsOn,
    alsoMeans: model.alike.flatMap(({ a, b }) =>
      shut.includes(a) && !shut.includes(b) ? [b] : shut.includes(b) && !shut.includes(a) ? [a] : [],
    ),
    isRough: shut.some((id, k) => isRough(model, id, kinds[k]!)),
    axes: machine.axes.map(({ id }) => ({ axis: id, ...courseOf(did => growthOf(on(id), did, begin)) })),
    nodes: nodes.map(({ id, temperature }, n) => ({
      node: id,
      ...courseOf(did => (did ? temperature.map((value, i) => value - did[n]![i]!) : temperature)),
    })),
  }
}
