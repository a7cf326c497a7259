import type { Machine, Sensor, Shop } from '../../core/shop.js'
import type {
  CommonCause,
  Datum,
  FitByOutcome,
  MachineState,
  ShopState,
  TrustChange,
  VerdictChange,
} from '../../core/state.js'
import type { Reading } from '../ingest/reading.js'
import { commonCauseOf } from './common-cause.js'
import { EvenMeans } from './even-means.js'
import { MachineWatch } from './machine-watch.js'
import type { Monitor, MonitorChange } from './monitor.js'
import { sameMove, withMoves } from './moves.js'
import { pastOf } from './named-times.js'
import { SensorBoard } from './sensor-board.js'
import { type Anew, replaceShop } from './shop-change.js'
import { SourceBoard } from './source-board.js'
import { UsualMornings } from './usual-mornings.js'

/** ms; a machine without new readings is evaluated this often, for what time alone changes */
const evaluateAtLeastEvery = 10_000
/** min; over which the shop air's rate is taken */
const airRateMinutes = 45

/** What a monitor begins with. */
export interface MonitorStart {
  shop: Shop
  /** newest verdict of each machine and work class, from the store */
  lastVerdicts?: readonly VerdictChange[]
  /** data were stored until shortly before; otherwise what was fit must earn it anew once data are missing */
  goesOn?: boolean
  /** those of the last two weeks, for what mornings are usually like */
  pastVerdicts?: readonly VerdictChange[]
  /** newest datum of each machine */
  datums?: readonly Datum[]
  /** what became of the times found lately for "fit by", the oldest first */
  fitBys?: readonly FitByOutcome[]
}

/** The monitor as recovery and a change of the shop file need it; all others hold on to `Monitor`. */
export interface LiveMonitor extends Monitor {
  /**
   * Takes in again what is stored, with what was found of the sensors meanwhile, each in its place: what was not
   * believed then is not followed now.
   *
   * @param readings in order of time
   * @param found in the order in which it was found
   * @param now ms; what is said to have been found later counts as found now
   */
  replay(readings: readonly Reading[], found: readonly TrustChange[], now: number): void
  /**
   * Takes in what temperatures have usually been, from before what `replay` takes in again.
   *
   * @param means of half hours, °C, without the sensors' offsets, in order of time
   */
  recall(means: readonly Reading[]): void
  /**
   * Another shop file takes effect. What it makes anew knows nothing until it is told (`setFactors`, `setSettling`,
   * `replay`); the rest goes on without a break. The shop given at the start becomes the new one.
   */
  change(next: Shop, anew: Anew, known: Pick<MonitorStart, 'lastVerdicts' | 'datums'>): void
}

/**
 * The live state of a shop. See `Monitor`: time comes in with `advance`.
 *
 * @throws when the shop's parts do not fit together (the shop file's checks find that first)
 */
export const createMonitor = ({
  shop,
  lastVerdicts = [],
  goesOn = false,
  pastVerdicts = [],
  datums = [],
  fitBys = [],
}: MonitorStart): LiveMonitor => {
  let byId = new Map<string, Sensor>(shop.sensors.map(sensor => [sensor.id, sensor]))
  const board = new SensorBoard(shop)
  const sources = new SourceBoard(shop)
  const named = { past: pastOf(fitBys) }
  const watchFor = (machine: Machine) => new MachineWatch(machine, shop, board, sources, named)
  let watches = new Map(shop.machines.map(m => [m.id, watchFor(m)]))
  /** as each machine is by itself, and as it is shown beside the others */
  const own = new Map<string, MachineState>()
  const evaluated = new Map<string, MachineState>()
  const dirty = new Set<string>()
  const listeners = new Set<(change: MonitorChange) => void>()
  const kindOf = (kind: Sensor['at']['kind']) => shop.sensors.filter(s => s.at.kind === kind).map(s => s.id)
  let air = new Map<string, EvenMeans>(kindOf('shop air').map(id => [id, new EvenMeans(60_000, 60)]))
  let outdoors = kindOf('outdoors')
  let shopProblem: string | null = null
  /** another shop file has taken effect, which nobody has been told yet */
  let isAnew = false
  let now = 0
  let newestReading: number | null = null
  let broker: ShopState['broker'] = 'away'
  let unstored: string | null = null
  const troubles = new Map<string, string>()
  let filling: number | null = null
  let recordedInterval = 0
  let shopShown = ''

  const recallFacts = ({ lastVerdicts = [], datums = [], goesOn = false }: Omit<MonitorStart, 'shop'>) => {
    for (const change of lastVerdicts) watches.get(change.machine)?.restore(change, goesOn)
    for (const datum of datums) {
      const watch = watches.get(datum.machine)
      if (watch && (!watch.datum || watch.datum.at <= datum.at)) watch.datum = datum
    }
  }
  recallFacts({ lastVerdicts, datums, goesOn })
  for (const [machine, watch] of watches) watch.restoreTimes(fitBys.filter(each => each.machine === machine))
  const mornings = new UsualMornings(shop.timeZone)
  for (const change of pastVerdicts) mornings.take(change)

  const believedMean = (ids: Iterable<string>): number | null => {
    let sum = 0
    let count = 0
    for (const id of ids) {
      const value = board.believedValue(id)
      if (value === null) continue
      sum += value
      count += 1
    }
    return count > 0 ? sum / count : null
  }

  const believedRate = (): number | null => {
    let sum = 0
    let count = 0
    for (const [id, history] of air) {
      const rate = board.isBelieved(id) ? history.rate(airRateMinutes) : Number.NaN
      if (Number.isNaN(rate)) continue
      sum += rate
      count += 1
    }
    return count > 0 ? sum / count : null
  }

  const commonCauses = (): CommonCause[] =>
    shop.workClasses.flatMap(({ id }) => {
      const found = commonCauseOf(shop, id, [...evaluated.values()])
      return found ? [{ ...found, usual: mornings.coming(id, now) }] : []
    })

  const shopNow = (): ShopState => {
    return {
      at: now,
      air: believedMean(air.keys()),
      airRate: believedRate(),
      outdoors: believedMean(outdoors),
      sources: sources.states(),
      common: commonCauses(),
      newestReading,
      broker,
      unstored,
      ...(shopProblem !== null && { shopProblem }),
      troubles: [...troubles.values()],
      filling,
    }
  }

  const takeOne = (reading: Reading, again = false): void => {
    const sensor = byId.get(reading.sensor)
    if (!sensor) return
    const taken = again ? board.takeAgain(reading) : board.take(reading)
    if (newestReading === null || reading.at > newestReading) newestReading = reading.at
    if (!taken) return
    const { value, anew } = taken
    air.get(sensor.id)?.add(reading.at, value)
    if (sensor.at.kind === 'node') {
      watches.get(sensor.at.machine)?.take(sensor.at.node, reading.at, value, sensor.id, anew)
      dirty.add(sensor.at.machine)
    } else if (sensor.at.kind === 'spindle') {
      if (sensor.unit !== '1/min') return
      watches.get(sensor.at.machine)?.spindle.take(reading.at, value)
      dirty.add(sensor.at.machine)
    } else if (sources.take(sensor, reading.at, value) && sensor.at.kind === 'source') {
      for (const { machine } of watches.values())
        if (machine.exposedTo.includes(sensor.at.source)) dirty.add(machine.id)
    }
  }

  const emit = (change: MonitorChange): void => {
    for (const listener of listeners) listener(change)
  }

  const evaluate = (id: string): { state: MachineState; changes: VerdictChange[]; fitBys: FitByOutcome[] } => {
    const { state, changes, fitBys } = watches.get(id)!.evaluate(now)
    own.set(id, state)
    const shown = withMoves(shop, state, own)
    evaluated.set(id, shown)
    return { state: shown, changes, fitBys }
  }

  /** Where a verdict changed, others may be told to take their work there, or no longer. */
  const evaluateMoves = (done: readonly MachineState[]): MachineState[] => {
    const changed: MachineState[] = []
    for (const [id, state] of own) {
      const shown = withMoves(shop, state, own)
      const before = evaluated.get(id)!
      if (shown.classes.every((c, i) => sameMove(c.remedy, before.classes[i]!.remedy))) continue
      evaluated.set(id, shown)
      changed.push(shown)
    }
    return [...done.filter(({ machine }) => !changed.some(c => c.machine === machine)), ...changed]
  }

  const watchOf = (id: string): MachineWatch => {
    const watch = watches.get(id)
    if (!watch) throw new Error(`no machine "${id}"; there are ${[...watches.keys()].join(', ')}`)
    return watch
  }

  function* advancing(moment: number): Generator<void, void> {
    now = Math.max(now, moment)
    board.advance(now, recordedInterval)
    const sensors = board.takeChanged()
    const trust = board.takeFound()
    for (const { sensor } of sensors) {
      const { at } = byId.get(sensor)!
      if (at.kind === 'node' || at.kind === 'spindle') dirty.add(at.machine)
    }
    const due = [...watches.keys()].filter(id => {
      const before = evaluated.get(id)
      return !before || dirty.has(id) || now - before.at >= evaluateAtLeastEvery
    })
    // what is taken in between two steps is for the next time
    dirty.clear()
    let machines: MachineState[] = []
    const verdicts: VerdictChange[] = []
    const fitBys: FitByOutcome[] = []
    for (const [i, id] of due.entries()) {
      if (i > 0) yield
      // another shop file may have taken effect meanwhile
      if (!watches.has(id)) continue
      const found = evaluate(id)
      machines.push(found.state)
      verdicts.push(...found.changes)
      fitBys.push(...found.fitBys)
    }
    for (const change of verdicts) mornings.take(change)
    if (verdicts.length > 0) machines = evaluateMoves(machines)
    machines = machines.filter(state => evaluated.get(state.machine) === state)
    if (listeners.size === 0) return
    const state = shopNow()
    const { at: _, ...comparable } = state
    const text = JSON.stringify(comparable)
    const shopChanged = text !== shopShown
    shopShown = text
    if (machines.length || sensors.length || shopChanged || trust.length || isAnew)
      emit({
        machines,
        sensors,
        shop: shopChanged ? state : null,
        verdicts,
        fitBys,
        trust,
        ...(isAnew && { anew: true }),
      })
    isAnew = false
  }

  return {
    take(readings) {
      const sorted = [...readings].sort((a, b) => a.at - b.at)
      for (const reading of sorted) takeOne(reading)
    },
    takeConditions(conditions) {
      for (const condition of conditions) board.takeCondition(condition)
    },
    recall(means) {
      board.beside.remember(means)
      for (const { sensor: id, at, value } of means) {
        const sensor = byId.get(id)
        if (sensor?.at.kind === 'node')
          watches.get(sensor.at.machine)?.recall(sensor.at.node, at, value + sensor.offset)
      }
    },
    replay(readings, found, end) {
      let next = 0
      for (const change of found) {
        // found while the clock was ahead: it is none the less so
        const at = Math.min(change.at, end)
        for (; next < readings.length && readings[next]!.at < at; next++) takeOne(readings[next]!, true)
        board.recall(change)
      }
      for (; next < readings.length; next++) takeOne(readings[next]!, true)
      board.resume(end)
    },
    advance(moment) {
      const steps = advancing(moment)
      while (!steps.next().done);
    },
    advancing,
    shop: shopNow,
    machines: () => [...watches.keys()].map(id => evaluated.get(id) ?? evaluate(id).state),
    machine: id => (watches.has(id) ? (evaluated.get(id) ?? evaluate(id).state) : undefined),
    sensors: () => board.states(),
    suspects: () => board.suspects(now),
    datumNow(id) {
      return { machine: id, at: now, ...watchOf(id).thermalStateNow(now) }
    },
    circumstances: (machine, workClass) => watchOf(machine).circumstancesOf(workClass, now),
    forecasting: (machine, ...asked) => watchOf(machine).forecasting(now, ...asked),
    setDatum(datum) {
      const watch = watchOf(datum.machine)
      if (watch.datum && watch.datum.at > datum.at) return
      watch.datum = datum
      dirty.add(datum.machine)
    },
    setFactors(machine, factors) {
      watchOf(machine).setFactors(factors)
      dirty.add(machine)
    },
    setSpindle(machine, known) {
      watches.get(machine)?.setSpindle(known)
      dirty.add(machine)
    },
    setOffset(id, offset) {
      const sensor = byId.get(id)
      if (!sensor) throw new Error(`no sensor "${id}"; there are ${[...byId.keys()].join(', ')}`)
      const change = offset - sensor.offset
      sensor.offset = offset
      board.shift(id, change)
      air.get(id)?.shift(change)
      if (sensor.at.kind !== 'node') return
      watches.get(sensor.at.machine)?.shift(sensor.at.node, change)
      dirty.add(sensor.at.machine)
    },
    setSettling(machine, node, identified) {
      watchOf(machine).setSettling(node, identified)
      board.beside.setTimeConstant(machine, node, identified?.timeConstant ?? null)
      dirty.add(machine)
    },
    setGone(sensors, reason) {
      for (const id of sensors) board.setGone(id, reason)
    },
    setBroker(state) {
      broker = state
    },
    setUnstored(why) {
      unstored = why
    },
    change(next, anew, known) {
      replaceShop(shop, next, anew)
      byId = new Map(shop.sensors.map(sensor => [sensor.id, sensor]))
      board.reshape(shop, anew.sensors)
      if (anew.sources) sources.forget()
      air = new Map(
        kindOf('shop air').map(id => [id, (!anew.sensors.has(id) && air.get(id)) || new EvenMeans(60_000, 60)]),
      )
      outdoors = kindOf('outdoors')
      const before = watches
      watches = new Map(
        shop.machines.map(machine => {
          const old = before.get(machine.id)
          return [machine.id, old && !anew.machines.has(machine.id) ? old : watchFor(machine)]
        }),
      )
      recallFacts(known)
      for (const machine of shop.machines)
        watches.get(machine.id)!.goOn(machine, before.get(machine.id) ?? watches.get(machine.id)!)
      own.clear()
      evaluated.clear()
      for (const id of watches.keys()) dirty.add(id)
      isAnew = true
    },
    setShopProblem(problem) {
      shopProblem = problem
    },
    setTrouble(what, why) {
      if (why === null) troubles.delete(what)
      else troubles.set(what, why)
    },
    setFilling(part, interval) {
      filling = part
      if (part === null) recordedInterval = 0
      else if (interval !== undefined) recordedInterval = interval
    },
    onChange(listener) {
      listeners.add(listener)
      return () => listeners.delete(listener)
    },
  }
}
