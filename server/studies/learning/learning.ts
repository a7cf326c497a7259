import { DateTime } from 'luxon'
import { type ThermalLoop, thermalLoop } from '../../../core/growth/index.js'
import {
  effectsBetween,
  type HeldOut,
  type Learned,
  learnFactors,
  loopElements,
  type MeasuredGrowth,
  validate,
} from '../../../core/learning/index.js'
import type { Machine } from '../../../core/shop.js'
import type { Measurement } from '../../../core/state.js'
import { temperaturesAt } from '../../history/node-temperatures.js'
import type { AppParts } from '../../http/parts.js'

/** A measurement with what the nominal model says of it. */
export interface Judged {
  measurement: Measurement
  /** null when it cannot be used; then `why` says why */
  growth: MeasuredGrowth | null
  why: string
}

export interface Learning {
  judged: Judged[]
  learned: Learned
  elements: ReturnType<typeof loopElements>
  /** errors are those of the measurements that can be used, in their order */
  heldOut: HeldOut | null
}

type Known = Pick<AppParts, 'shop' | 'store'>

type TemperaturesOf = (machine: Machine, at: number) => Record<string, number>

/** Temperatures at past moments, each asked for once as soon as all nodes are known. */
export const rememberedTemperatures = ({ shop, store }: Known): TemperaturesOf => {
  const known = new Map<string, Record<string, number>>()
  return (machine, at) => {
    const key = `${machine.id} ${at}`
    const before = known.get(key)
    if (before) return before
    const found = temperaturesAt(machine, shop.sensors, store, at)
    if (machine.nodes.every(node => node.id in found)) known.set(key, found)
    return found
  }
}

const missingNode = (machine: Machine, needed: readonly number[], found: Record<string, number>): string | null => {
  const index = needed.find(i => !(machine.nodes[i]!.id in found))
  return index === undefined ? null : machine.nodes[index]!.name
}

const judge = (
  machine: Machine,
  loop: ThermalLoop,
  measurement: Measurement,
  temperaturesOf: TemperaturesOf,
  zone: string,
): Judged => {
  const cannot = (why: string): Judged => ({ measurement, growth: null, why })
  if (measurement.setAside) return cannot('set aside')
  const axis = loop.axes.find(a => a.axis.id === measurement.axis)
  if (!axis) return cannot(`the machine has no axis ${measurement.axis} any more`)
  const before = temperaturesOf(machine, measurement.zeroAt)
  const after = temperaturesOf(machine, measurement.at)
  const atZero = missingNode(machine, axis.nodes, before)
  if (atZero) return cannot(`${atZero}: no reading near the zero`)
  const then = missingNode(machine, axis.nodes, after)
  if (then) return cannot(`${then}: no reading near the time`)
  return {
    measurement,
    why: '',
    growth: {
      value: measurement.value,
      uncertainty: measurement.uncertainty,
      occasion: DateTime.fromMillis(measurement.zeroAt, { zone }).toISODate() ?? '',
      zero: `${measurement.axis} ${measurement.zeroAt}`,
      effects: effectsBetween(loop, measurement.axis, measurement.position, before, after),
    },
  }
}

/** What a machine's measurements say of its loop's elements, against the nominal model. Days of zeroing are the occasions. */
export const learningOf = (parts: Known, machine: Machine, temperaturesOf: TemperaturesOf): Learning => {
  const { shop, store } = parts
  const loop = thermalLoop(machine, shop.referenceTemperature)
  const elements = loopElements(loop)
  const judged = store
    .measurements(machine.id)
    .map(measurement => judge(machine, loop, measurement, temperaturesOf, shop.timeZone))
  const usable = judged.flatMap(({ growth }) => growth ?? [])
  return { judged, elements, learned: learnFactors(usable, elements), heldOut: validate(usable, elements) }
}
