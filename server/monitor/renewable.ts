import { oneAtATime } from '../actions/one-at-a-time.js'
import type { LiveMonitor, Monitor, MonitorChange } from './monitor.js'

/** A monitor that can begin anew or be changed while others hold on to it. */
export interface RenewableMonitor extends Monitor {
  /** begins anew from what is stored; what comes meanwhile waits */
  renew(): Promise<void>
  /** changes the monitor as it is; what comes meanwhile waits, and nothing of it is lost */
  change(work: (monitor: LiveMonitor) => Promise<void>): Promise<void>
}

/**
 * A monitor that can begin anew while others hold on to it: when the clock was set back, what it had seen bears times
 * that are still to come, and would hide what comes now.
 *
 * @param make makes a monitor that knows what is stored
 */
export const renewableMonitor = async (make: () => Promise<LiveMonitor>): Promise<RenewableMonitor> => {
  const listeners = new Set<(change: MonitorChange) => void>()
  let current = await make()
  let stopListening = () => {}
  /** what came while another monitor is being made, in order; null otherwise */
  let waiting: ((monitor: Monitor) => void)[] | null = null

  const listen = () => {
    stopListening()
    stopListening = current.onChange(change => {
      for (const listener of listeners) listener(change)
    })
  }
  /** what was said last of each matter that no reading tells: another monitor is told it again */
  const said = new Map<string, (monitor: Monitor) => void>()
  const inTurn = oneAtATime()
  /** pieces of work that go on or wait their turn */
  let held = 0
  /** what comes while something is done that takes time waits until it is done */
  const holding = (work: () => Promise<void>) => {
    // at once: what is told right after this is for the monitor as it will be
    waiting ??= []
    held += 1
    return inTurn(async () => {
      try {
        await work()
      } finally {
        held -= 1
        const told = held === 0 ? (waiting ?? []) : []
        if (held === 0) waiting = null
        for (const what of told) what(current)
      }
    })
  }
  listen()
  const tell = (what: (monitor: Monitor) => void): void => {
    if (waiting) waiting.push(what)
    else what(current)
  }

  const say = (matter: string, what: (monitor: Monitor) => void): void => {
    said.set(matter, what)
    tell(what)
  }

  return {
    take: readings => tell(monitor => monitor.take(readings)),
    takeConditions: conditions => tell(monitor => monitor.takeConditions(conditions)),
    advance: now => tell(monitor => monitor.advance(now)),
    *advancing(now) {
      if (waiting) waiting.push(monitor => monitor.advance(now))
      else yield* current.advancing(now)
    },
    shop: () => current.shop(),
    machines: () => current.machines(),
    machine: id => current.machine(id),
    sensors: () => current.sensors(),
    suspects: () => current.suspects(),
    datumNow: machine => current.datumNow(machine),
    setDatum: datum => tell(monitor => monitor.setDatum(datum)),
    circumstances: (machine, workClass) => current.circumstances(machine, workClass),
    forecasting: (...asked) => current.forecasting(...asked),
    setFactors: (machine, factors) => tell(monitor => monitor.setFactors(machine, factors)),
    setSpindle: (machine, known) => tell(monitor => monitor.setSpindle(machine, known)),
    setSettling: (machine, node, identified) => tell(monitor => monitor.setSettling(machine, node, identified)),
    setOffset: (sensor, offset) => tell(monitor => monitor.setOffset(sensor, offset)),
    setGone: (sensors, reason) => tell(monitor => monitor.setGone(sensors, reason)),
    setShopProblem: problem => say('shop file', monitor => monitor.setShopProblem(problem)),
    setBroker: state => say('broker', monitor => monitor.setBroker(state)),
    setUnstored: why => say('store', monitor => monitor.setUnstored(why)),
    setTrouble: (what, why) => say(`trouble: ${what}`, monitor => monitor.setTrouble(what, why)),
    setFilling: (part, interval) => tell(monitor => monitor.setFilling(part, interval)),
    onChange(listener) {
      listeners.add(listener)
      return () => listeners.delete(listener)
    },
    renew: () =>
      holding(async () => {
        current = await make()
        listen()
        for (const what of said.values()) what(current)
      }),
    change: work => holding(() => work(current)),
  }
}
