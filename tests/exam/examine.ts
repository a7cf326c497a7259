import type { Shop } from '../../core/shop.js'
import type { Verdict } from '../../core/state.js'
import { createDecoder } from '../../server/ingest/decoder.js'
import type { Reading } from '../../server/ingest/reading.js'
import { createMonitor } from '../../server/monitor/index.js'
import type { SimulatedShop } from '../../simulators/index.js'
import { driftStages, trueJobError } from './truth.js'

export interface ExamSettings {
  /** ms */
  from: number
  days: number
  /** s; how often sensors report and the monitor is brought forward */
  step: number
  /** s; how often verdicts are compared with the truth */
  judgeEvery: number
  onProgress?: (part: number) => void
}

/** Predicted and true growth of one axis at the work, m against 20 °C; equal lengths. */
export interface AxisRecord {
  machine: string
  axis: string
  predicted: number[]
  true: number[]
}

/** One machine and work class, over the samples at which verdicts were compared. */
export interface ClassRecord {
  machine: string
  workClass: string
  samples: number
  count: Record<Verdict, number>
  /** fit was shown while the true error exceeded the share, with the conditions of the last five minutes held */
  falselyFit: number
  /** the same with the conditions of that very instant held: a spindle's or chiller's first seconds count in full */
  falselyFitInstant: number
  /** settling or unfit was shown while the true error was within the share */
  falselyUnfit: number
  /** verdict changes shown */
  changes: number
  /** true error and tolerance share at every falsely fit sample, m */
  worst: { at: number; error: number; granted: number }[]
}

export interface ExamRecord {
  axes: AxisRecord[]
  classes: ClassRecord[]
  messages: number
  refused: number
  days: number
}

/** hours at the beginning that do not count: the service has just been switched on */
const settlingInHours = 6

/**
 * Lets a simulated shop live and runs what its sensors send through the decoder and monitor of the live service, then
 * compares growth and verdicts with the truth. The monitor gets its time from here.
 */
export const examine = (shop: Shop, simulated: SimulatedShop, settings: ExamSettings): ExamRecord => {
  const { from, days, step, judgeEvery, onProgress } = settings
  const decode = createDecoder(shop.sensors)
  const monitor = createMonitor({ shop })
  monitor.setFilling(0, step)
  const encoder = new TextEncoder()
  const axes = new Map<string, AxisRecord>()
  const classes = new Map<string, ClassRecord>()
  for (const machine of shop.machines) {
    for (const { id } of machine.axes)
      axes.set(`${machine.id} ${id}`, { machine: machine.id, axis: id, predicted: [], true: [] })
    for (const { id } of shop.workClasses)
      classes.set(`${machine.id} ${id}`, {
        machine: machine.id,
        workClass: id,
        samples: 0,
        count: { fit: 0, settling: 0, unfit: 0, unknown: 0 },
        falselyFit: 0,
        falselyFitInstant: 0,
        falselyUnfit: 0,
        changes: 0,
        worst: [],
      })
  }
  const horizons = [...new Set(shop.workClasses.flatMap(c => driftStages.map(stage => stage * c.duration)))].sort(
    (a, b) => a - b,
  )
  let messages = 0
  let refused = 0
  let counting = false
  monitor.onChange(({ verdicts }) => {
    if (counting) for (const v of verdicts) classes.get(`${v.machine} ${v.workClass}`)!.changes++
  })

  const steps = Math.round((days * 86_400) / step)
  for (let n = 1; n <= steps; n++) {
    const now = from + n * step * 1000
    const readings: Reading[] = []
    simulated.advance(
      now,
      ({ topic, payload }) => {
        messages++
        const decoded = decode(topic, encoder.encode(payload), { retained: false, receivedAt: now })
        readings.push(...decoded.readings)
        refused += decoded.refusals.length
      },
      step,
    )
    monitor.take(readings)
    monitor.advance(now)
    counting = n * step >= settlingInHours * 3600
    if (!counting) continue
    const judged = (n * step) % judgeEvery === 0
    if (!judged) continue
    const truth = simulated.truth()
    const lately = simulated.heldDrift(horizons, 'lately')
    const instant = simulated.heldDrift(horizons, 'now')
    for (const machine of shop.machines) {
      const state = monitor.machine(machine.id)!
      const of = truth.machines[machine.id]!
      for (const growth of state.growth) {
        if (growth.atWork === null) continue
        const record = axes.get(`${machine.id} ${growth.axis}`)!
        record.predicted.push(growth.atWork)
        record.true.push(of.axes[growth.axis]!.atWork)
      }
      for (const workClass of shop.workClasses) {
        const record = classes.get(`${machine.id} ${workClass.id}`)!
        const { verdict } = state.classes.find(c => c.workClass === workClass.id)!
        const errorIf = (drift: typeof lately) =>
          trueJobError(
            machine.axes,
            workClass,
            of,
            (axis, horizon) => drift[machine.id]![axis]![horizons.indexOf(horizon)]!,
          )
        const error = errorIf(lately)
        const granted = workClass.share * workClass.tolerance
        record.samples++
        record.count[verdict]++
        if (verdict === 'fit' && error > granted) {
          record.falselyFit++
          record.worst.push({ at: now, error, granted })
        }
        if (verdict === 'fit' && errorIf(instant) > granted) record.falselyFitInstant++
        if ((verdict === 'settling' || verdict === 'unfit') && error <= granted) record.falselyUnfit++
      }
    }
    onProgress?.(n / steps)
  }
  return { axes: [...axes.values()], classes: [...classes.values()], messages, refused, days }
}
