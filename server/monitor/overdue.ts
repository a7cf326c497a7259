import type { Sensor } from '../../core/shop.js'
import type { AxisJob, Reason } from '../../core/state.js'
import { calibrationOverdue, type OverdueCalibration } from '../../core/trust/index.js'

/** ms; days pass slowly, and finding out the shop's day costs something */
const lookEvery = 60_000
/** sensors that are named, the longest overdue first */
const named = 3

/** A sensor whose calibration is past its due date. */
export interface OverdueSensor extends OverdueCalibration {
  sensor: Sensor
}

/** Of some sensors, those whose calibration is past its due date. */
export class OverdueCalibrations {
  private lookedAt = Number.NaN
  private found = new Map<string, OverdueSensor>()
  private readonly dated: readonly Sensor[]

  constructor(
    sensors: readonly Sensor[],
    private readonly timeZone: string,
  ) {
    this.dated = sensors.filter(sensor => sensor.calibration?.due !== undefined)
  }

  /** @param now ms @returns by sensor */
  at(now: number): ReadonlyMap<string, OverdueSensor> {
    if (Math.abs(now - this.lookedAt) < lookEvery) return this.found
    this.lookedAt = now
    this.found = new Map(
      this.dated.flatMap(sensor => {
        const overdue = calibrationOverdue(sensor.calibration!.due!, now, this.timeZone)
        return overdue ? [[sensor.id, { ...overdue, sensor }]] : []
      }),
    )
    return this.found
  }
}

/**
 * The reason that names overdue calibrations beside a verdict, which stands all the same; none when nothing is overdue.
 */
export const overdueReasons = (overdue: ReadonlyMap<string, OverdueSensor>): Reason[] => {
  const worst = [...overdue.values()].sort((a, b) => b.days - a.days)
  if (!worst[0]) return []
  const overdueNow = worst.slice(0, named).map(({ sensor, days }) => ({ sensor: sensor.id, name: sensor.name, days }))
  return [{ kind: 'calibration', overdue: overdueNow, count: worst.length, factor: worst[0].factor }]
}

/** Budgets of a job in which the sensors' calibration is named as overdue, where one is. */
export const withOverdueNamed = (axes: readonly AxisJob[], overdue: ReadonlyMap<string, OverdueSensor>): AxisJob[] =>
  overdue.size === 0
    ? [...axes]
    : axes.map(axis => ({
        ...axis,
        budget: axis.budget.map(each =>
          each.name === 'sensor calibration' ? { ...each, name: 'sensor calibration, overdue' } : each,
        ),
      }))
