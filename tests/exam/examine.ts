import type { Shop } from '../../core/shop.js'
import type { Forecast, ReadyTime, TrustChange } from '../../core/state.js'
import { createDecoder } from '../../server/ingest/decoder.js'
import type { Reading } from '../../server/ingest/reading.js'
import { createMonitor } from '../../server/monitor/index.js'
import type { HeldState, PlannedFault, SimulatedShop } from '../../simulators/index.js'
import { Columns } from './columns.js'
import { ExamIdentification } from './identification.js'
import { NamedTimes } from './named-times.js'
import { askEvery, horizons as forecastHorizons, NodeForecasts, rememberEvery } from './node-forecasts.js'
import { courseHorizons, readySample, waits } from './ready.js'
import {
  type AxisRecord,
  axisType,
  type ClassRecord,
  type ExamRecord,
  emptyClass,
  type MachineRecord,
} from './records.js'
import { Suspects } from './suspects.js'
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
  /** s; how often ready times are, named or only found */
  readyEvery: number
  faults?: readonly PlannedFault[]
  onProgress?: (part: number) => void
}

/** hours at the beginning that do not count: the service has just been switched on */
const settlingInHours = 6

/**
 * Lets a simulated shop live and runs what its sensors send through the decoder and monitor of the live service, then
 * compares growth, verdicts and ready times with the truth. The monitor gets its time from here.
 */
export const examine = async (shop: Shop, simulated: SimulatedShop, settings: ExamSettings): Promise<ExamRecord> => {
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
  const columns = new Columns(shop, simulated)
  const forecasts = new NodeForecasts(shop, simulated)
  const named = new NamedTimes()
  const fitBys: ExamRecord['fitBys'] = []
  const suspects = new Suspects(from, faults)
  const identification = new ExamIdentification(shop, monitor)
  let foundOfSensors: TrustChange[] = []
  monitor.onChange(({ verdicts, trust, fitBys: decided }) => {
    suspects.take(trust)
    foundOfSensors.push(...trust)
    if (day < 0) return
    fitBys.push(...decided)
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

  /** What is said ahead of a machine. @param length s; @param points how many moments of it */
  const ask = (machine: string, length: number, points: number): Forecast => {
    const forecasting = monitor.forecasting(machine, [], length, points)
    for (;;) {
      const step = forecasting.next()
      if (step.done) return step.value
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
      const heldErrors: number[][] = []
      const over = new Set<string>()
      const found = new Map<string, ReadyTime>()
      if (withReady && state.classes.some(waits))
        for (const { workClass, ready } of ask(machine.id, 3600, 2).classes) if (ready) found.set(workClass, ready)
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
        heldErrors.push(errors)
        const granted = workClass.share * workClass.tolerance
        const key = `${machine.id} ${workClass.id}`
        if (wasOver.has(key) && wasOver.get(key) !== error > granted) machines.get(machine.id)!.trueChanges++
        wasOver.set(key, error > granted)
        if (error > granted) over.add(workClass.id)
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
        const ready = waits(shown) ? found.get(workClass.id) : undefined
        const sample =
          ready && readySample(ready, now, machine, workClass, held, of.partAlpha, zeros.get(machine.id) ?? of)
        if (sample) record.ready.push(sample)
      }
      columns.take(state, now, of, zeros.get(machine.id) ?? of, heldErrors)
      named.take(state, now, workClass => over.has(workClass), withReady ? workClass => found.get(workClass) : null)
    }
  }

  const furthest = Math.max(...forecastHorizons)
  const askFar = (machine: string): Forecast => ask(machine, furthest * 3600, furthest + 1)
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
    identification.take(readings)
    if (n * step >= settlingInHours * 3600) day = Math.min(Math.floor((n * step) / 86_400), Math.ceil(days) - 1)
    monitor.advance(now)
    if ((n * step - settlingInHours * 3600) % 86_400 === 0) proveFirstParts()
    if ((n * step) % 86_400 === 0) {
      await identification.takeTrust(foundOfSensors)
      foundOfSensors = []
      await identification.look(now)
    }
    columns.follow(monitor.machines(), day >= 0)
    if (day >= 0) columns.watchJobs(monitor.machines(), now, id => zeros.get(id))
    if (day >= 0 && (n * step) % rememberEvery === 0)
      forecasts.take(monitor.machines(), now, (n * step) % askEvery === 0 ? askFar : null)
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
    columns: columns.record,
    forecasts: forecasts.record,
    named: named.record,
    fitBys,
    suspects: suspects.record(shop.sensors.length, days),
  }
}
