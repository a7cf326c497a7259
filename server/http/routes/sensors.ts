import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { nameOf } from '../../../core/names.js'
import { isThermometer, type Sensor, type Shop } from '../../../core/shop.js'
import { isoTime } from '../../csv.js'
import { readerOf, sensorInWords } from '../in-words.js'
import type { AppParts } from '../parts.js'
import { sensorsAnswer } from '../schemas/answers.js'
import { unitsQuery } from '../span.js'
import { fields, formatQuery, jsonOrCsv, sendTable } from '../table-out.js'

/** where a sensor sits, with the names that the shop file gives: "Mill 1, X screw" */
export const placeInWords = ({ at }: Sensor, { machines, sources }: Shop): string => {
  if (at.kind === 'source') return nameOf(sources, at.source)
  if (at.kind === 'spindle') return `${nameOf(machines, at.machine)}, spindle`
  if (at.kind !== 'node') return at.kind
  const machine = machines.find(m => m.id === at.machine)
  const node = machine?.nodes.find(n => n.id === at.node)
  return `${machine?.name ?? at.machine}, ${node?.name ?? at.node}`
}

/** in what its values are given */
const storedIn = ({ unit }: Sensor): string =>
  unit === 'state' ? '1 open or running, 0 not' : unit === '1/min' ? '1/s' : isThermometer({ unit }) ? '°C' : 'm'

export const sensorsRoutes: FastifyPluginAsyncZod<AppParts> = async (app, { shop, monitor, clock }) => {
  const sensors = () => {
    const byId = new Map(shop.sensors.map(sensor => [sensor.id, sensor]))
    return monitor.sensors().flatMap(state => {
      const sensor = byId.get(state.sensor)
      return sensor ? [{ state, sensor, place: placeInWords(sensor, shop) }] : []
    })
  }

  app.get('/api/sensors', {
    schema: {
      summary: 'Every sensor: last value, its time, whether it is believed, battery and signal if sent',
      querystring: z.object({ ...formatQuery, ...unitsQuery }),
      response: { 200: jsonOrCsv(sensorsAnswer) },
    },
    handler: async (request, reply) => {
      const reader = readerOf(shop, request.query, clock())
      const shown = sensors().map(of => ({ ...of, ...sensorInWords(of.state, reader) }))
      if (request.query.format === 'json')
        return { sensors: shown.map(({ state, sensor, ...more }) => ({ ...state, name: sensor.name, ...more })) }
      return sendTable(reply, shown, {
        sensor: s => s.sensor.id,
        name: s => s.sensor.name,
        place: s => s.place,
        value: s => s.state.value,
        unit: s => storedIn(s.sensor),
        timeUtc: s => isoTime(s.state.at),
        trust: s => s.state.trust,
        ...fields('reason', 'remedy'),
        sinceUtc: s => isoTime(s.state.since),
        battery: s => s.state.battery?.value,
        batteryUnit: s => s.state.battery?.unit,
        batteryLow: ({ state: { battery } }) => battery && (battery.low ? 'low' : 'ok'),
        signal: s => s.state.signal?.value,
        signalUnit: s => s.state.signal?.unit,
      })
    },
  })
}
