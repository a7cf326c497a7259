import type { Monitor, MonitorChange } from './monitor.js'

/**
 * A monitor that can begin anew while others hold on to it: when the clock was set back, what it had seen bears times
 * that are still to come, and would hide what comes now.
 *
 * @param make a monitor that knows what is stored
 */
export const renewableMonitor = async (make: () => Promise<Monitor>): Promise<Monitor & { renew(): Promise<void> }> => {
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
  const troubles = new Map<string, string | null>()
  listen()
  const tell = (what: (monitor: Monitor) => void): void => {
    if (waiting) waiting.push(what)
    else what(current)
  }

  return {
    take: readings => tell(monitor => monitor.take(readings)),
    takeConditions: conditions => tell(monitor => monitor.takeConditions(conditions)),
    advance: now => tell(monitor => monitor.advance(now)),
    shop: () => current.shop(),
    machines: () => current.machines(),
    machine: id => current.machine(id),
    sensors: () => current.sensors(),
    suspects: () => current.suspects(),
    datumNow: machine => current.datumNow(machine),
    setDatum: datum => tell(monitor => monitor.setDatum(datum)),
    forecast: (machine, plan, length, points) => current.forecast(machine, plan, length, points),
    setFactors: (machine, factors) => tell(monitor => monitor.setFactors(machine, factors)),
    setSettling: (machine, node, identified) => tell(monitor => monitor.setSettling(machine, node, identified)),
    setOffset: (sensor, offset) => tell(monitor => monitor.setOffset(sensor, offset)),
    setGone: (sensors, reason) => tell(monitor => monitor.setGone(sensors, reason)),
    setBroker: state => tell(monitor => monitor.setBroker(state)),
    setUnstored: why => tell(monitor => monitor.setUnstored(why)),
    setTrouble(what, why) {
      troubles.set(what, why)
      tell(monitor => monitor.setTrouble(what, why))
    },
    setFilling: (part, interval) => tell(monitor => monitor.setFilling(part, interval)),
    onChange(listener) {
      listeners.add(listener)
      return () => listeners.delete(listener)
    },
    async renew() {
      waiting ??= []
      const { broker, unstored } = current.shop()
      current = await make()
      listen()
      current.setBroker(broker)
      current.setUnstored(unstored)
      for (const [what, why] of troubles) current.setTrouble(what, why)
      const told = waiting
      waiting = null
      for (const what of told) what(current)
    },
  }
}
