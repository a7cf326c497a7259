import { setImmediate as otherWork } from 'node:timers/promises'
import { DateTime } from 'luxon'
import { type Setback, setbacksIn } from '../../../core/heating/index.js'
import type { Machine } from '../../../core/shop.js'
import { type Past, quarterHour, temperaturesOver } from '../../history/index.js'

/** days of which setbacks are looked for: four of each day of the week */
const days = 28

/**
 * Every time in the last four weeks that the heating was set back and came again, by the air at a machine as it was
 * believed then.
 */
export const setbacksAt = async (past: Past, machine: Machine, now: number): Promise<Setback[]> => {
  const airNode = machine.nodes.findIndex(({ kind }) => kind === 'air')
  if (airNode < 0) return []
  const today = DateTime.fromMillis(now, { zone: past.shop.timeZone }).startOf('day')
  const midnights = Array.from({ length: days }, (_, i) => today.minus({ days: days - 1 - i }).toMillis())
  // only the air is asked for: nothing else of the machine decides it
  const span = { from: midnights[0]!, to: now }
  const nodes = machine.nodes.slice(airNode, airNode + 1)
  const { rows, width } = await temperaturesOver(past, { ...machine, nodes }, span, (span.to - span.from) / quarterHour)
  await otherWork()
  return setbacksIn(
    { at: rows.map(({ at }) => at + width / 2), value: rows.map(row => row.nodes[0]?.temperature ?? null) },
    midnights,
  )
}

/** where the interface answers with them */
export const setbacksPath = (machine: string): string => `/api/machines/${encodeURIComponent(machine)}/setbacks`
