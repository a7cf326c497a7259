import type { Sensor } from '../../core/shop.js'

type MayHaveWaited = (sensor: Sensor, now: number) => boolean

/**
 * Tells which messages may come from the queue that the broker filled while we were away. Only for sensors that send no
 * time: taken at the moment of arrival, ten minutes of them would all seem to have happened just now.
 *
 * A message may have waited until the sensor's messages come at their own pace again (half an interval apart), or until
 * the connection has lasted as long as the absence did: a queue empties faster than it was filled. An absence shorter
 * than the sensor's interval does no harm.
 *
 * @param absence     ms; 0 when the broker kept no session for us
 * @param connectedAt ms since 1970
 */
export const waitedSince = (absence: number, connectedAt: number): MayHaveWaited => {
  const previous = new Map<string, number>()
  const atPace = new Set<string>()
  return (sensor, now) => {
    const interval = sensor.interval * 1000
    if (absence <= interval || now - connectedAt > absence || atPace.has(sensor.id)) return false
    const before = previous.get(sensor.id)
    previous.set(sensor.id, now)
    if (before === undefined || now - before < interval / 2) return true
    atPace.add(sensor.id)
    return false
  }
}

/** Keeps since when messages wait at the broker. */
export interface Absence {
  /** @param kept the broker kept our session, and with it what came meanwhile */
  connected(now: number, kept: boolean): MayHaveWaited
  closed(now: number): void
}

/**
 * @param lastSeen ms since 1970; when a reading was last taken, by the service that ran before; null for a first start
 */
export const createAbsence = (lastSeen: number | null): Absence => {
  let since = lastSeen
  let connection: { at: number; absence: number } | null = null
  return {
    connected(now, kept) {
      connection = { at: now, absence: kept && since !== null ? Math.max(0, now - since) : 0 }
      return waitedSince(connection.absence, now)
    },
    closed(now) {
      // a connection too short to empty the queue does not end the absence
      if (connection && now - connection.at >= connection.absence) since = now
      connection = null
    },
  }
}
