import type { ThermalLoop } from '../../core/growth/index.js'
import type { AxisGrowth } from '../../core/state.js'

/**
 * How far the axes of a machine have grown, as its page shows it.
 *
 * @param temperatures of the nodes, °C; NaN where unknown
 * @param rates of the nodes, K/h; NaN where unknown
 * @param atDatum temperatures of the nodes at the datum, °C; null where none is recorded
 * @param spindle m; what the spindle adds to the axis that it moves, now and at the datum (NaN: not known); null where its
 * growth is not known
 * @returns growth in m and its rate in m/s, one for each axis; null where a node that it needs is unknown
 */
export const axisGrowth = (
  loop: ThermalLoop,
  temperatures: readonly number[],
  rates: readonly number[],
  atDatum: readonly number[] | null,
  spindle: { axis: string; now: number; atDatum: number } | null = null,
): AxisGrowth[] => {
  const known = (value: number) => (Number.isNaN(value) ? null : value)
  const inAMinute = temperatures.map((temperature, i) => temperature + (rates[i] ?? 0) / 60)
  return loop.axes.map(({ axis, growthAt }) => {
    const added = spindle?.axis === axis.id ? spindle.now : 0
    // a datum of which the spindle's growth is not known counts without it
    const since = spindle?.axis === axis.id && !Number.isNaN(spindle.atDatum) ? added - spindle.atDatum : 0
    const atWork = growthAt(axis.workAt, temperatures)
    return {
      axis: axis.id,
      atZero: known(growthAt(0, temperatures) + added),
      atWork: known(atWork + added),
      atTravel: known(growthAt(axis.travel, temperatures) + added),
      sinceDatum: atDatum ? known(atWork - growthAt(axis.workAt, atDatum) + since) : null,
      rate: known((growthAt(axis.workAt, inAMinute) - atWork) / 60),
    }
  })
}
