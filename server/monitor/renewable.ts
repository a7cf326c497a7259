import type { Monitor, MonitorChange } from './monitor.js'

/**
 * A monitor that can begin anew while others hold on to it: when the clock was set back, what it had seen bears times
 * that are still to come, and would hide what comes now.
 *
 * @param make a monitor that knows what is stored
 */
export const renewableMonitor = (make: () => Monitor): Monitor & { renew(): void } => {
  const listeners = new Set<(change: MonitorChange) => void>()
  const begin = (): Monitor => {
    const made = make()
    made.onChange(change => {
      for (const listener of listeners) listener(change)
    })
    return made
  }
  let current = begin()
  const troubles = new Map<string, string | null>()

  return {
    take: readings => current.take(readings),
    takeConditions: conditions => current.takeConditions(conditions),
    advance: now => current.advance(now),
    shop: () => current.shop(),
    machines: () => current.machines(),
    machine: id => current.machine(id),
    sensors: () => current.sensors(),
    suspects: () => current.suspects(),
    datumNow: machine => current.datumNow(machine),
    setDatum: datum => current.setDatum(datum),
    forecast: (machine, plan, length, points) => current.forecast(machine, plan, length, points),
    setFactors: (machine, factors) => current.setFactors(machine, factors),
    setSettling: (machine, node, identified) => current.setSettling(machine, node, identified),
    setOffset: (sensor, offset) => current.setOffset(sensor, offset),
    setGone: (sensors, reason) => current.setGone(sensors, reason),
    setBroker: state => current.setBroker(state),
    setUnstored: why => current.setUnstored(why),
    setTrouble(what, why) {
      troubles.set(what, why)
      current.setTrouble(what, why)
    },
    setFilling: (part, interval) => current.setFilling(part, interval),
    onChange(listener) {
      listeners.add(listener)
      return () => listeners.delete(listener)
    },
    renew() {
      const { broker, unstored } = current.shop()
      current = begin()
      current.setBroker(broker)
      current.setUnstored(unstored)
      for (const [what, why] of troubles) current.setTrouble(what, why)
    },
  }
}
