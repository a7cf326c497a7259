import { z } from 'zod'
import type { Axis, Machine, Sensor } from '../../core/shop.js'
import type { AppParts } from './parts.js'
import { notKnown } from './refused.js'

export const machineParams = z.object({ id: z.string().describe('id of a machine, as in the shop file') })

/** Which of them has this id. @throws Refused 404 that names those there are */
export const known = <T extends { id: string | number }>(
  kind: string,
  all: readonly T[],
  id: T['id'],
  where: string,
): T => {
  const found = all.find(each => each.id === id)
  if (found) return found
  const ids = all.map(each => String(each.id))
  throw notKnown(kind, [String(id)], ids, where)
}

/** @throws Refused 404 that names the machines there are */
export const knownMachine = ({ shop }: Pick<AppParts, 'shop'>, id: string): Machine =>
  known('machine', shop.machines, id, 'the address, after /api/machines/')

/** @throws Refused 404 that names the sensors there are */
export const knownSensors = ({ shop }: Pick<AppParts, 'shop'>, ids: readonly string[]): Sensor[] => {
  const byId = new Map(shop.sensors.map(s => [s.id, s]))
  const missing = ids.filter(id => !byId.has(id))
  if (missing.length > 0) throw notKnown('sensor', missing, [...byId.keys()], 'query "sensors"')
  return ids.flatMap(id => byId.get(id) ?? [])
}

/** @throws Refused 404 that names the axes there are */
export const knownAxis = (machine: Machine, id: string, where: 'body' | 'query' = 'body'): Axis =>
  known('axis', machine.axes, id, `${where} "axis"`)
