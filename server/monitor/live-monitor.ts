import type { Machine, Sensor } from '../../core/shop.js'
import type { FitByOutcome, MachineState, VerdictChange } from '../../core/state.js'
import type { Reading } from '../ingest/reading.js'
import { MachineWatch } from './machine-watch.js'
import type { LiveMonitor, MonitorChange, MonitorStart } from './monitor.js'
import { sameMove, withMoves } from './moves.js'
import { pastOf } from './named-times.js'
import { SensorBoard } from './sensor-board.js'
import { ShopBoard } from './shop-board.js'
import { replaceShop } from './shop-change.js'
import { SourceBoard } from './source-board.js'
import { UsualMornings } from './usual-mornings.js'

/** ms; a machine without new readings is evaluated this often, for what time alone changes */
const evaluateAtLeastEvery = 10_000

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
  const mornings = new UsualMornings(shop.timeZone)
  const whole = new ShopBoard(shop, board, sources, mornings)
  /** what became of times named in the whole shop: one object for all machines, which add to it */
  const named = { past: pastOf(fitBys) }
  const watchFor = (machine: Machine) => new MachineWatch(machine, shop, board, sources, named)
  let watches = new Map(shop.machines.map(m => [m.id, watchFor(m)]))
  /** as each machine is by itself, and as it is shown beside the others */
  const own = new Map<string, MachineState>()
  const evaluated = new Map<string, MachineState>()
  const dirty = new Set<string>()
  const listeners = new Set<(change: MonitorChange) => void>()
  /** another shop file has taken effect, which nobody has been told yet */
  let isAnew = false
  let now = 0
  /** s; see `setFilling` */
  let recordedInterval = 0

  const recallFacts = ({ lastVerdicts = [], datums = [], goesOn = false }: Omit<MonitorStart, 'shop'>) => {
    for (const change of lastVerdicts) watches.get(change.machine)?.restore(change, goesOn)
    for (const datum of datums) {
      const watch = watches.get(datum.machine)
      if (watch && (!watch.datum || watch.datum.at <= datum.at)) watch.datum = datum
    }
  }
  recallFacts({ lastVerdicts, datums, goesOn })
  for (const [machine, watch] of watches) watch.restoreTimes(fitBys.filter(each => each.machine === machine))
  for (const change of pastVerdicts) mornings.take(change)

  const takeOne = (reading: Reading, again = false): void => {
    const sensor = byId.get(reading.sensor)
    if (!sensor) return
    const taken = again ? board.takeAgain(reading) : board.take(reading)
    whole.heard(reading.at)
    if (!taken) return
    const { value, anew } = taken
    whole.take(sensor.id, reading.at, value)
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
    const shown = whole.takeChanged([...evaluated.values()], now)
    if (!machines.length && !sensors.length && !shown && !trust.length && !isAnew) return
    const change = { machines, sensors, shop: shown, verdicts, fitBys, trust, ...(isAnew && { anew: true as const }) }
    for (const listener of listeners) listener(change)
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
    shop: () => whole.state([...evaluated.values()], now),
    machines: () => [...watches.keys()].map(id => evaluated.get(id) ?? evaluate(id).state),
    machine: id => (watches.has(id) ? (evaluated.get(id) ?? evaluate(id).state) : undefined),
    sensors: () => board.states(),
    suspects: () => board.suspects(now),
    datumNow(id) {
      return { machine: id, at: now, ...watchOf(id).thermalStateNow(now) }
    },
    circumstances: (machine, workClass) => watchOf(machine).circumstances(now)(workClass),
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
      whole.shift(id, change)
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
      whole.broker = state
    },
    setUnstored(why) {
      whole.unstored = why
    },
    change(next, anew, known) {
      replaceShop(shop, next, anew)
      byId = new Map(shop.sensors.map(sensor => [sensor.id, sensor]))
      board.reshape(shop, anew.sensors)
      if (anew.sources) sources.forget()
      whole.reshape(anew.sensors)
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
      whole.problem = problem
    },
    setTrouble: (what, why) => whole.setTrouble(what, why),
    setFilling(part, interval) {
      whole.filling = part
      if (part === null) recordedInterval = 0
      else if (interval !== undefined) recordedInterval = interval
    },
    onChange(listener) {
      listeners.add(listener)
      return () => listeners.delete(listener)
    },
  }
}
