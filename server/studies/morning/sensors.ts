import { DateTime } from 'luxon'
import type { MorningCheck } from '../../../core/morning/index.js'
import type { Shop } from '../../../core/shop.js'
import { calibrationOverdue, notBelievedSince } from '../../../core/trust/index.js'
import type { Monitor } from '../../monitor/index.js'
import type { NightStudy } from './night.js'

type Line = MorningCheck['sensors'][number]

/** The sensors that somebody must look after: not believed, overdue, nearly empty; and the gaps of the night. */
export const sensorsToMind = (
  { shop, monitor, clock }: { shop: Shop; monitor: Pick<Monitor, 'sensors'>; clock: () => number },
  gaps: NightStudy['gaps'],
): Line[] => {
  const lasting = (sensor: string, kind: Line['kind'], since: number | null): Line => ({
    sensor,
    kind,
    since,
    until: null,
  })
  const states = monitor.sensors()
  const notBelieved = states.flatMap(state =>
    state.trust === 'ok' ? [] : [lasting(state.sensor, state.trust, notBelievedSince(state))],
  )
  const overdue = shop.sensors.flatMap(({ id, calibration }) => {
    const due = calibration?.due
    if (due === undefined || !calibrationOverdue(due, clock(), shop.timeZone)) return []
    // by its end it must have been calibrated again
    return [lasting(id, 'overdue', DateTime.fromISO(due, { zone: shop.timeZone }).plus({ days: 1 }).toMillis())]
  })
  const batteries = states.flatMap(({ sensor, battery }) =>
    // when it told so last says nothing of since when
    battery?.low ? [lasting(sensor, 'battery', null)] : [],
  )
  const names = new Set(notBelieved.map(({ sensor }) => sensor))
  const passed = gaps
    .filter(({ sensor }) => !names.has(sensor))
    .map(({ sensor, from, to }): Line => ({ sensor, kind: 'gap', since: from, until: to }))
  return [...notBelieved, ...overdue, ...batteries, ...passed]
}
