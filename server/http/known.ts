import { z } from 'zod'
import type { Axis, Machine, Sensor } from '../../core/shop.js'
import type { AppParts } from './parts.js'
import { notKnown } from './refused.js'

export const machineParams = z.object({ id: z.string().describe('id of a machine, as in the shop file') })

/** @throws Refused 404 that names the machines there are */
export const knownMachine = ({ shop }: Pick<AppParts, 'shop'>, id: string): Machine => {
  const machine = shop.machines.find(m => m.id === id)
  if (machine) return machine
  throw notKnown(
    'machine',
    [id],
    shop.machines.map(m => m.id),
    'the address, after /api/machines/',
  )
}

/** @throws Refused 404 that names the sensors there are */
export const knownSensors = ({ shop }: Pick<AppParts, 'shop'>, ids: readonly string[]): Sensor[] => {
  const byId = new Map(shop.sensors.map(s => [s.id, s]))
  const missing = ids.filter(id => !byId.has(id))
  if (missing.length > 0) throw notKnown('sensor', missing, [...byId.keys()], 'query "sensors"')
  return ids.flatMap(id => byId.get(id) ?? [])
}

/** @throws Refused 404 that names the axes there are */
export const knownAxis = (machine: Machine, id: string, where: 'body' | 'query' = 'body'): Axis => {
  const axis = machine.axes.find(a => a.id === id)
  if (axis) return axis
  throw notKnown(
    'axis',
    [id],
    machine.axes.map(a => a.id),
    `${where} "axis"`,
  )
}
