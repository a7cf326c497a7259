import type { Axis, Machine, Shop } from '../../core/shop.js'
import type { Verdict } from '../../core/state.js'
import { createDecoder } from '../../server/ingest/decoder.js'
import type { Reading } from '../../server/ingest/reading.js'
import { createMonitor } from '../../server/monitor/index.js'
import type { HeldState, PlannedFault, SimulatedShop } from '../../simulators/index.js'
import { courseHorizons, type ReadySample, readySample } from './ready.js'
import { driftStages, type SizeTruth, trueAxisErrors } from './truth.js'

export interface ExamSettings {
  /** ms */
  from: number
  days: number
  /** s; how often the monitor is brought forward */
  step: number
  /** every sensor reports once a step, instead of at its own interval */
  recorded: boolean
  /** s; how often verdicts are compared with the truth */
  judgeEvery: number
  /** s; how often shown ready times are */
  readyEvery: number
  faults?: readonly PlannedFault[]
  onProgress?: (part: number) => void
}

export const axisTypes = ['screw, one end fixed', 'screw, pretensioned', 'screw, core-cooled', 'scale'] as const
export type AxisType = (typeof axisTypes)[number]

/** Predicted and true growth of one axis at the work, m against 20 °C; equal lengths of all three. */
export interface AxisRecord {
  machine: string
  axis: string
  type: AxisType
  predicted: number[]
  true: number[]
  /** whether it was within the shop's working hours */
  working: boolean[]
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
  /** settling or unfit was shown while the true error was within the share; and how many of these were settling */
  falselyUnfit: number
  falselySettling: number
  /** of falselyUnfit: even with the true error the stated expanded uncertainty would have reached beyond the share */
  guarded: number
  /** verdict changes shown */
  changes: number
  /** true error and tolerance share at every falsely fit sample, m */
  worst: { at: number; error: number; granted: number }[]
  ready: ReadySample[]
  /** settling samples (at `readyEvery`), and how many of them had no time to show */
  settling: number
  settlingWithoutTime: number
}

export interface MachineRecord {
  machine: string
  /** stands in air that a thermostat keeps */
  thermostat: boolean
  /** verdict changes shown, all work classes together, on each whole or begun day that counts */
  changesByDay: number[]
  /** how often the true error went over the share or came back within it, seen at each sample, all work classes together */
  trueChanges: number
}

export interface ExamRecord {
  /** its number, 0 for the demo shop */
  shop: number
  healthy: boolean
  axes: AxisRecord[]
  classes: ClassRecord[]
  machines: MachineRecord[]
  messages: number
  refused: number
  days: number
  /** the days that count */
  counted: number
}

/** hours at the beginning that do not count: the service has just been switched on */
const settlingInHours = 6

const axisType = (machine: Machine, { measuring }: Axis): AxisType => {
  if (measuring.kind === 'scale') return 'scale'
  if (measuring.mounting.kind === 'both ends fixed') return 'screw, pretensioned'
  const cooled = machine.nodes.some(({ id, kind }) => kind === 'coolant' && id in measuring.nodes)
  return cooled ? 'screw, core-cooled' : 'screw, one end fixed'
}

const emptyClass = (machine: string, workClass: string): ClassRecord => ({
  machine,
  workClass,
  samples: 0,
  count: { fit: 0, settling: 0, unfit: 0, unknown: 0 },
  falselyFit: 0,
  falselyFitInstant: 0,
  falselyUnfit: 0,
  falselySettling: 0,
  guarded: 0,
  changes: 0,
  worst: [],
  ready: [],
  settling: 0,
  settlingWithoutTime: 0,
})

/**
 * Lets a simulated shop live and runs what its sensors send through the decoder and monitor of the live service, then
 * compares growth, verdicts and ready times with the truth. The monitor gets its time from here.
 */
export const examine = (shop: Shop, simulated: SimulatedShop, settings: ExamSettings): ExamRecord => {
  const { from, days, step, recorded, judgeEvery, readyEvery, faults = [], onProgress } = settings
  const decode = createDecoder(shop.sensors)
  const monitor = createMonitor({ shop })
  if (recorded) monitor.setFilling(0, step)
  const encoder = new TextEncoder()
  const zones = new Map(simulated.plant.zones.map(({ id, climate }) => [id, climate.kind]))
  const axes = new Map<string, AxisRecord>()
  const classes = new Map<string, ClassRecord>()
  const machines = new Map<string, MachineRecord>()
  for (const machine of shop.machines) {
    const { zone } = simulated.plant.machines.find(({ id }) => id === machine.id)!
    machines.set(machine.id, {
      machine: machine.id,
      thermostat: zones.get(zone) === 'thermostat',
      changesByDay: new Array<number>(Math.ceil(days)).fill(0),
      trueChanges: 0,
    })
    for (const axis of machine.axes)
      axes.set(`${machine.id} ${axis.id}`, {
        machine: machine.id,
        axis: axis.id,
        type: axisType(machine, axis),
        predicted: [],
        true: [],
        working: [],
      })
    for (const { id } of shop.workClasses) classes.set(`${machine.id} ${id}`, emptyClass(machine.id, id))
  }
  const horizons = [...new Set(shop.workClasses.flatMap(c => driftStages.map(stage => stage * c.duration)))].sort(
    (a, b) => a - b,
  )
  const indexOf = new Map(horizons.map((horizon, i) => [horizon, i]))
  let messages = 0
  let refused = 0
  let day = -1
  monitor.onChange(({ verdicts }) => {
    if (day < 0) return
    for (const v of verdicts) {
      classes.get(`${v.machine} ${v.workClass}`)!.changes++
      machines.get(v.machine)!.changesByDay[day]!++
    }
  })
  const broken = new Set<PlannedFault>()
  const breakAndMend = (seconds: number): void => {
    for (const fault of faults) {
      const now = seconds >= fault.from && seconds < fault.to
      if (now === broken.has(fault)) continue
      simulated.fault(fault.sensor, now ? fault.kind : null)
      if (now) broken.add(fault)
      else broken.delete(fault)
    }
  }

  const wasOver = new Map<string, boolean>()

  /** what was true when each machine's datum was set */
  const zeros = new Map<string, SizeTruth>()
  /** Once a day each machine proves a first part, where everything on it is known just then. */
  const proveFirstParts = (): void => {
    for (const { id } of shop.machines) {
      if (monitor.machine(id)!.nodes.some(({ temperature }) => temperature === null)) continue
      monitor.setDatum({ ...monitor.datumNow(id), id: 0, by: 'examination', note: '', firstPart: true })
      zeros.set(id, simulated.truth().machines[id]!)
    }
  }

  const compare = (now: number, withReady: boolean): void => {
    const truth = simulated.truth()
    const { working } = simulated.climate()
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
        record.working.push(working)
      }
      let course: HeldState[] | null = null
      const held = (): HeldState[] => {
        course ??= simulated.heldCourse(machine.id, courseHorizons, 'lately')
        return course
      }
      for (const workClass of shop.workClasses) {
        const record = classes.get(`${machine.id} ${workClass.id}`)!
        const shown = state.classes.find(c => c.workClass === workClass.id)!
        const { verdict } = shown
        const errorsIf = (drift: typeof lately) =>
          trueAxisErrors(
            machine.axes,
            workClass,
            of,
            (axis, horizon) => drift[machine.id]![axis]![indexOf.get(horizon)!]!,
            zeros.get(machine.id) ?? of,
          )
        const errors = errorsIf(lately)
        const error = Math.max(...errors)
        const granted = workClass.share * workClass.tolerance
        const key = `${machine.id} ${workClass.id}`
        if (wasOver.has(key) && wasOver.get(key) !== error > granted) machines.get(machine.id)!.trueChanges++
        wasOver.set(key, error > granted)
        record.samples++
        record.count[verdict]++
        if (verdict === 'fit' && error > granted) {
          record.falselyFit++
          record.worst.push({ at: now, error, granted })
        }
        if (verdict === 'fit' && Math.max(...errorsIf(instant)) > granted) record.falselyFitInstant++
        if ((verdict === 'settling' || verdict === 'unfit') && error <= granted) {
          record.falselyUnfit++
          if (verdict === 'settling') record.falselySettling++
          if (errors.some((of, i) => of + shown.axes[i]!.uncertainty > granted)) record.guarded++
        }
        if (!withReady || verdict !== 'settling') continue
        record.settling++
        if (!shown.ready) record.settlingWithoutTime++
        const sample = readySample(shown, now, machine, workClass, held, of.partAlpha, zeros.get(machine.id) ?? of)
        if (sample) record.ready.push(sample)
      }
    }
  }

  const steps = Math.round((days * 86_400) / step)
  for (let n = 1; n <= steps; n++) {
    const now = from + n * step * 1000
    const readings: Reading[] = []
    breakAndMend(n * step)
    simulated.advance(
      now,
      ({ topic, payload, time }) => {
        messages++
        const decoded = decode(topic, encoder.encode(payload), { retained: false, receivedAt: time })
        readings.push(...decoded.readings)
        refused += decoded.refusals.length
      },
      recorded ? step : undefined,
    )
    monitor.take(readings)
    if (n * step >= settlingInHours * 3600) day = Math.min(Math.floor((n * step) / 86_400), Math.ceil(days) - 1)
    monitor.advance(now)
    if ((n * step - settlingInHours * 3600) % 86_400 === 0) proveFirstParts()
    if (day >= 0 && (n * step) % judgeEvery === 0) compare(now, (n * step) % readyEvery === 0)
    onProgress?.(n / steps)
  }
  return {
    shop: 0,
    healthy: faults.length === 0,
    axes: [...axes.values()],
    classes: [...classes.values()],
    machines: [...machines.values()],
    messages,
    refused,
    days,
    counted: days - settlingInHours / 24,
  }
}
