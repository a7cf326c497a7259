import type { LoopAxis } from '../growth/index.js'
import { expansionUncertainty } from '../judge/expansion-uncertainty.js'
import { growthSlopes } from '../judge/growth-uncertainty.js'
import { timesCounted } from '../judge/index.js'
import type { Machine, WorkClass } from '../shop.js'
import type { MachineMorning } from './check.js'
import { classesMade } from './makes.js'

/**
 * Standard uncertainty of what an axis has moved since its datum, where the work is held: by how far each sensor may stand
 * otherwise for its node than it did then, by the coefficients of expansion, and by what a fixed bearing may have held back
 * of the change (rectangular distribution, GUM 4.3.7). The sensors' calibration cancels: each is read twice.
 *
 * @param now       °C by node, in the machine's order
 * @param then      °C, at the datum
 * @param placement K, standard, by node
 * @returns m; NaN where a temperature that the axis depends on is not known
 * @see JCGM 100:2008 (GUM), 5.1
 */
export const movedUncertainty = (
  of: LoopAxis,
  now: readonly number[],
  then: readonly number[],
  placement: readonly number[],
): number => {
  const { axis, nodes, bearing, elements } = of
  const moved = (element: LoopAxis['elements'][number]) =>
    element.growthAt(axis.workAt, now) - element.growthAt(axis.workAt, then)
  let variance = expansionUncertainty(elements, moved) ** 2
  if (bearing) variance += (bearing.heldBack(now) - bearing.heldBack(then)) ** 2 / 3
  growthSlopes(of, now).forEach((slope, k) => {
    variance += (slope * placement[nodes[k]!]!) ** 2
  })
  return Math.sqrt(variance)
}

/** What an axis has moved since the datum, m, with its standard uncertainty; NaN where it is not known. */
export interface Moved {
  axis: Machine['axes'][number]
  moved: number
  uncertainty: number
}

/** The class with the least that heat may take, of those that count from the datum and that the machine makes. */
export const finestAtDatum = (machine: Machine, classes: readonly WorkClass[]): WorkClass | null => {
  const granted = ({ tolerance, share }: WorkClass) => tolerance * share
  const atDatum = classesMade(machine, classes).filter(({ zeroedAt }) => zeroedAt === 'datum')
  return atDatum.reduce<WorkClass | null>((a, b) => (a && granted(a) <= granted(b) ? a : b), null)
}

/**
 * Whether a datum still holds: what has moved since, with its expanded uncertainty (k = 2), against what heat may take of
 * the finest class that is zeroed at it.
 *
 * @param at ms; when it was set
 * @param finest null where no class counts from it: then there is nothing it must hold for
 * @returns `holds` null where it cannot be told: something is not known, or the limit lies within the uncertainty
 */
export const zeroNow = (at: number, axes: readonly Moved[], finest: WorkClass | null): MachineMorning['datum'] => {
  const counted = axes.map(({ axis, moved, uncertainty }) => {
    const times = finest ? timesCounted(axis, finest) : 1
    return { axis: axis.id, moved: times * moved, uncertainty: 2 * times * uncertainty }
  })
  const known = counted.filter(({ moved, uncertainty }) => Number.isFinite(moved + uncertainty))
  const worst = known.reduce<(typeof known)[number] | null>(
    (a, b) => (a && Math.abs(a.moved) + a.uncertainty >= Math.abs(b.moved) + b.uncertainty ? a : b),
    null,
  )
  const granted = finest && finest.tolerance * finest.share
  const base = {
    at,
    axis: worst?.axis ?? null,
    moved: worst?.moved ?? null,
    uncertainty: worst?.uncertainty ?? null,
    granted,
  }
  if (!worst || granted === null) return { ...base, holds: null }
  // one axis that has certainly moved too far is enough
  if (known.some(({ moved, uncertainty }) => Math.abs(moved) - uncertainty > granted)) return { ...base, holds: false }
  const isWithin = known.length === counted.length && Math.abs(worst.moved) + worst.uncertainty <= granted
  return { ...base, holds: isWithin ? true : null }
}
