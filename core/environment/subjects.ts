import { type EnvironmentLimits, isThermometer, type Sensor, type Shop } from '../shop.js'

/** A machine or an area of which records are kept. */
export interface RecordSubject {
  kind: 'machine' | 'area'
  id: string
  name: string
  /** of temperature */
  sensors: Sensor[]
  /** those of them that are held against the limits */
  judged: Sensor[]
  limits: EnvironmentLimits | null
}

/**
 * What records are kept of: the machines, the areas of the shop file, and by themselves the shop air and what lies beside
 * each source. Those without a sensor of temperature are left out.
 */
export const recordSubjects = (shop: Pick<Shop, 'machines' | 'sensors' | 'sources' | 'areas'>): RecordSubject[] => {
  const sensors = shop.sensors.filter(isThermometer)
  const byId = new Map(sensors.map(sensor => [sensor.id, sensor]))
  const named = (ids: readonly string[]) => ids.flatMap(id => byId.get(id) ?? [])
  const machines = shop.machines.map((machine): RecordSubject => {
    const own = sensors.filter(({ at }) => at.kind === 'node' && at.machine === machine.id)
    const air = new Set(machine.nodes.filter(({ kind }) => kind === 'air').map(({ id }) => id))
    const judged = machine.limits?.sensors
      ? named(machine.limits.sensors)
      : own.filter(({ at }) => at.kind === 'node' && air.has(at.node))
    return {
      kind: 'machine',
      id: machine.id,
      name: machine.name,
      sensors: [...new Set([...own, ...judged])],
      judged,
      limits: machine.limits ?? null,
    }
  })
  const areas = (shop.areas ?? []).map((area): RecordSubject => {
    const all = named(area.sensors)
    const judged = area.limits?.sensors ? named(area.limits.sensors) : all
    const { id, name, limits = null } = area
    return { kind: 'area', id, name, sensors: [...new Set([...all, ...judged])], judged, limits }
  })
  const taken = new Set(areas.map(({ id }) => id))
  const byItself = (id: string, name: string, all: Sensor[]): RecordSubject[] =>
    taken.has(id) ? [] : [{ kind: 'area', id, name, sensors: all, judged: all, limits: null }]
  const shopAir = sensors.filter(({ at }) => at.kind === 'shop air')
  const besideIt = (source: string) => sensors.filter(({ at }) => at.kind === 'source' && at.source === source)
  return [
    ...machines,
    ...areas,
    ...byItself('shop-air', 'Shop air', shopAir),
    ...shop.sources.flatMap(({ id, name }) => byItself(`beside-${id}`, `Beside: ${name}`, besideIt(id))),
  ].filter(each => each.sensors.length > 0)
}
