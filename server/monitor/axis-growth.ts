import type { ThermalLoop } from '../../core/growth/index.js'
import type { AxisGrowth } from '../../core/state.js'

/**
 * How far the axes of a machine have grown, as its page shows it.
 *
 * @param temperatures of the nodes, °C; NaN where unknown
 * @param rates of the nodes, K/h; NaN where unknown
 * @param atDatum temperatures of the nodes at the datum, °C; null where none is recorded
 * @returns growth in m and its rate in m/s, one for each axis; null where a node that it needs is unknown
 */
export const axisGrowth = (
  loop: ThermalLoop,
  temperatures: readonly number[],
  rates: readonly number[],
  atDatum: readonly number[] | null,
): AxisGrowth[] => {
  const known = (value: number) => (Number.isNaN(value) ? null : value)
  const inAMinute = temperatures.map((temperature, i) => temperature + (rates[i] ?? 0) / 60)
  return loop.axes.map(({ axis, growthAt }) => {
    const atWork = growthAt(axis.workAt, temperatures)
    return {
      axis: axis.id,
      atZero: known(growthAt(0, temperatures)),
      atWork: known(atWork),
      atTravel: known(growthAt(axis.travel, temperatures)),
      sinceDatum: atDatum ? known(atWork - growthAt(axis.workAt, atDatum)) : null,
      rate: known((growthAt(axis.workAt, inAMinute) - atWork) / 60),
    }
  })
}
