import { isWorkingTime } from './activity.js'
import { createBuilding } from './building.js'
import { createCalendar } from './calendar.js'
import { createDuty, type Duty, type Job } from './duty.js'
import {
  createMachine,
  type HeldConditions,
  type HeldState,
  type MachineMark,
  type SimulatedMachine,
  type Surroundings,
} from './machine.js'
import type { MachinePlant, Measured, Plant } from './plant.js'
import { randomStream } from './random.js'
import { type Changes, type Scenario, type ScenarioName, scenarios } from './scenarios.js'
import { createSensor, type FaultKind, type SimulatedSensor } from './sensor.js'
import type { AxisTruth } from './truth.js'
import { createWeather, type Weather } from './weather.js'

/** What a sensor sends: as it would go over MQTT. `time` (ms) is when it was measured. */
export interface Message {
  topic: string
  payload: string
  time: number
}

export interface MachineTruth {
  axes: Record<string, AxisTruth>
  /** °C */
  partTemperature: number
  /** 1/K by material */
  partAlpha: Record<string, number>
  /** °C of the air at the machine */
  air: number
  /** °C; mean of each body */
  bodies: Record<string, number>
}

export interface Truth {
  /** ms */
  time: number
  machines: Record<string, MachineTruth>
}

/** What is otherwise than a scenario has it. */
export type Otherwise = Partial<Pick<Changes, 'outdoors' | 'sun' | 'people' | 'duty'>>

/** s; longest integration step, and the step of the days before the start that nobody sees */
const STEP = 30
const BEFORE_STEP = 60
/** s; long enough for the heaviest parts to forget how they were set */
const BEFORE = 4 * 86_400
/** K; what everything is set to before that */
const AT_FIRST = 19.5

/**
 * An invented shop that lives from `start` on. The same plant, seed, options and calls give the same messages, byte for
 * byte.
 *
 * @param options.start ms since 1970; the shop has lived four days before it
 * @param options.scenario see `scenarios`; "ordinary" when left out
 * @param options.anchor ms; the moment a scenario is arranged around; `start` when left out, for the demo 14 days later
 * @param options.heated ms → whether heating and cooling keep what they keep by day; null leaves it to the scenario
 * @param options.otherwise what is otherwise than the scenario has it: to see what would have been
 * @throws RangeError when the plant names something it does not have
 */
export const createSimulatedShop = (
  plant: Plant,
  options: {
    seed: number
    start: number
    scenario?: ScenarioName
    anchor?: number
    heated?: (time: number) => boolean | null
    otherwise?: Otherwise
  },
) => {
  const { seed, start, scenario = 'ordinary' } = options
  const anchor = options.anchor ?? (scenario === 'demo' ? start + 14 * 86_400_000 : start)
  const chosen: Scenario = scenarios[scenario]
  const arranged = chosen.changes(plant, anchor)
  const changes = {
    ...arranged,
    ...options.otherwise,
    heated: (time: number) => options.heated?.(time) ?? arranged.heated(time),
  }
  const calendar = createCalendar(plant.timeZone)
  const stepWeather = createWeather(plant.weather, randomStream(seed, 'weather'), changes.outdoors)
  const building = createBuilding(plant, seed, changes, AT_FIRST)
  const waste = new Float64Array(plant.zones.length)
  const sourceIndex = new Map(plant.sources.map((source, i) => [source.id, i]))
  const sourceOf = (id: string): number => {
    const index = sourceIndex.get(id)
    if (index === undefined) throw new RangeError(`plant "${plant.name}" has no source "${id}"`)
    return index
  }

  const settleIn = (machine: MachinePlant) => ({
    zone: building.zoneOf(machine.zone),
    near: machine.influences.map(influence => sourceOf(influence.source)),
    around: {
      zone: AT_FIRST,
      beside: new Float64Array(machine.influences.length),
      outdoors: AT_FIRST,
      sun: 0,
      hour: 0,
    } satisfies Surroundings,
    duty: createDuty(machine.duty, seed, machine.id, time => changes.duty(machine.id, time)),
    /** 0..1 of its highest speed */
    turning: 0,
    model: createMachine(machine, randomStream(seed, `eddies/${machine.id}`), AT_FIRST),
  })
  const machines = plant.machines.map(settleIn)

  let now = start - BEFORE * 1000
  let weather: Weather = stepWeather(calendar(now + changes.calendarShift), 0)

  const step = (h: number): void => {
    now += h * 1000
    const local = calendar(now + changes.calendarShift)
    const working = isWorkingTime(plant, local)
    weather = stepWeather(local, h)
    weather.sun = changes.sun(weather.sun)
    waste.fill(0)
    for (const { zone, model } of machines) waste[zone]! += model.waste()
    building.step(now, local, h, weather, waste)
    for (const machine of machines) {
      const { zone, near, around, duty, model } = machine
      around.zone = building.air[zone]!
      around.outdoors = weather.outdoors
      around.sun = weather.sun
      around.hour = local.hour
      for (let i = 0; i < near.length; i++) around.beside[i] = building.beside[near[i]!]!
      const work = duty.step(now, local, h)
      machine.turning = work.spindle
      model.step(now, h, around, work, working)
    }
  }
  for (let passed = 0; passed < BEFORE; passed += BEFORE_STEP) step(BEFORE_STEP)
  now = start

  const settledOf = (id: string) => {
    const found = machines.find(machine => machine.model.id === id)
    if (!found) throw new RangeError(`plant "${plant.name}" has no machine "${id}"`)
    return found
  }
  const machineOf = (id: string): SimulatedMachine => settledOf(id).model
  const readerOf = (measured: Measured): { touches: () => number; air: () => number; words: [string, string] } => {
    const words: [string, string] = ['on', 'off']
    if (measured.kind === 'outdoors') return { touches: () => weather.outdoors, air: () => weather.outdoors, words }
    if (measured.kind === 'zone') {
      const zone = building.zoneOf(measured.zone)
      return { touches: () => building.air[zone]!, air: () => building.air[zone]!, words }
    }
    if (measured.kind === 'beside' || measured.kind === 'state') {
      const source = sourceOf(measured.source)
      const air = () => building.beside[source]!
      if (measured.kind === 'beside') return { touches: air, air, words }
      const isDoor = plant.sources[source]!.kind === 'door'
      return { touches: () => Number(building.active[source]), air, words: isDoor ? ['open', 'closed'] : words }
    }
    if (measured.kind === 'spindle') {
      const settled = settledOf(measured.machine)
      const turns = () => measured.highest * settled.turning
      return { touches: turns, air: turns, words }
    }
    const machine = machineOf(measured.machine)
    return { touches: machine.reader(measured), air: machine.air, words }
  }
  const sensors = plant.sensors.map((sensor): SimulatedSensor => {
    const { touches, air, words } = readerOf(sensor.measures)
    return createSensor(sensor, seed, touches, air, words)
  })
  const sensorOf = (id: string): SimulatedSensor => {
    const found = sensors.find(sensor => sensor.plant.id === id)
    if (!found) throw new RangeError(`plant "${plant.name}" has no sensor "${id}"`)
    return found
  }
  const breaks = [...changes.breaks].sort((a, b) => a.at - b.at)
  const lastState = sensors.map(sensor => (sensor.isState ? sensor.state() : 0))
  for (const sensor of sensors) sensor.follow(0)

  /** Sends, in order of time, what fell due since `before` (ms), and every change of state at once. */
  const send = (before: number, onMessage: (message: Message) => void, interval: number | undefined): void => {
    const due: { sensor: SimulatedSensor; time: number }[] = []
    sensors.forEach((sensor, i) => {
      const every = (interval ?? sensor.plant.interval) * 1000
      const offset = Math.floor(sensor.phase * every)
      if (sensor.isState && sensor.state() !== lastState[i]) {
        lastState[i] = sensor.state()
        due.push({ sensor, time: Math.round(now) })
        return
      }
      for (let k = Math.floor((before - offset) / every) + 1; k * every + offset <= now; k++)
        due.push({ sensor, time: k * every + offset })
    })
    due.sort((a, b) => a.time - b.time)
    for (const { sensor, time } of due) {
      const payload = sensor.payload(time)
      if (payload !== null) onMessage({ topic: sensor.plant.topic, payload, time })
    }
  }

  return {
    plant,
    anchor,
    /** ms; the moment the shop has reached */
    time: (): number => now,
    /** °C outdoors and by zone, and what goes on: for tests and displays of the simulator itself */
    climate: () => ({
      working: isWorkingTime(plant, calendar(now + changes.calendarShift)),
      outdoors: weather.outdoors,
      sun: weather.sun,
      zones: Object.fromEntries(plant.zones.map((zone, i) => [zone.id, building.air[i]!])),
      active: Object.fromEntries(plant.sources.map((source, i) => [source.id, building.active[i]!])),
    }),
    /**
     * Lets the shop live until `to` (ms), in even steps of at most 30 s.
     *
     * @param interval s; all sensors report this often instead of at their own intervals
     */
    advance: (to: number, onMessage: (message: Message) => void, interval?: number): void => {
      const from = now
      const steps = Math.ceil((to - from) / (STEP * 1000))
      for (let n = 1; n <= steps; n++) {
        const before = now
        step((to - from) / steps / 1000)
        now = from + ((to - from) * n) / steps
        while (breaks[0] && breaks[0].at <= now) {
          const { sensor, kind, at } = breaks.shift()!
          sensorOf(sensor).setFault(kind, at)
        }
        for (const sensor of sensors) sensor.follow((now - before) / 1000)
        send(before, onMessage, interval)
      }
    },
    truth: (): Truth => ({
      time: now,
      machines: Object.fromEntries(
        machines.map(({ model }) => [
          model.id,
          {
            axes: model.growth(),
            partTemperature: model.partTemperature(),
            partAlpha: { ...plant.partAlpha },
            air: model.air(),
            bodies: model.bodies(),
          },
        ]),
      ),
    }),
    /**
     * The true change of each axis' growth at the work if present conditions hold: air, coolant control, duty, doors and
     * sources stay as they are. Changes nothing in the shop.
     *
     * @param horizons s
     * @param conditions "lately": those of the last five minutes or so, on average; "now": those of this very instant,
     *   which is the harder test, as nobody can know at once that a door was opened or a spindle stopped
     * @returns m, by machine and axis, one for each horizon
     */
    heldDrift: (
      horizons: readonly number[],
      conditions: HeldConditions = 'lately',
    ): Record<string, Record<string, number[]>> =>
      Object.fromEntries(machines.map(({ model }) => [model.id, model.heldDrift(horizons, conditions)])),
    /**
     * What would be true of one machine at each of the horizons if conditions held: see `heldDrift`. Changes nothing.
     *
     * @param horizons s, rising
     * @throws RangeError when there is no such machine
     */
    heldCourse: (machine: string, horizons: readonly number[], conditions: HeldConditions = 'lately'): HeldState[] =>
      machineOf(machine).heldCourse(horizons, conditions),
    /** The job of its own schedule that a machine does now; null between two jobs. */
    job: (machine: string): Job | null => settledOf(machine).duty.job(),
    /** How hard a machine works at its usual jobs. */
    usualJob: (machine: string): Duty => machineOf(machine).usualJob(),
    /** A machine as it is now, to see later what would have become of it had a job begun: see `jobCourse`. */
    mark: (machine: string): MachineMark => machineOf(machine).mark(),
    /**
     * What would have been true of a machine had a job begun at a mark: the job's own heat, in the air that came since.
     *
     * @param horizons s after the mark, rising
     * @throws RangeError when the shop has not lived so far yet, or the mark is older than a day
     */
    jobCourse: (mark: MachineMark, job: Duty, horizons: readonly number[]): HeldState[] =>
      machineOf(mark.machine).jobCourse(mark, job, horizons),
    /** Breaks a sensor, or (null) mends it. */
    fault: (sensor: string, kind: FaultKind | null): void => {
      sensorOf(sensor).setFault(kind, now)
    },
    /** Opens or shuts a door by hand; null gives it back to its own day. */
    setDoor: (source: string, open: boolean | null): void => building.setByHand(source, open),
  }
}
export type { HeldState }
export type SimulatedShop = ReturnType<typeof createSimulatedShop>
