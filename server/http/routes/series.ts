import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { isThermometer, type Sensor } from '../../../core/shop.js'
import { type Cell, csv, isoTime } from '../../csv.js'
import type { Series } from '../../store/store.js'
import { knownSensors } from '../known.js'
import type { AppParts } from '../parts.js'
import { Refused } from '../refused.js'
import { seriesAnswer } from '../schemas/answers.js'
import { jsonOrCsv } from '../schemas/json-or-csv.js'
import { refusals } from '../schemas/refusal.js'
import { day, formatQuery, pointsQuery, spanOf, spanQuery } from '../span.js'

/** one chart has no more lines than this, and one answer stays within some ten megabytes */
const mostSensors = 64

const query = z.object({
  sensors: z.string('name at least one sensor').describe(`ids of up to ${mostSensors} sensors, with commas between`),
  ...spanQuery,
  ...pointsQuery,
  ...formatQuery,
})

const withOffset = ({ level, points }: Series, sensor: Sensor) => {
  const offset = isThermometer(sensor) ? sensor.offset : 0
  return {
    sensor: sensor.id,
    level,
    points: points.map(p => ({ ...p, mean: p.mean + offset, min: p.min + offset, max: p.max + offset })),
  }
}

const columns = ['sensor', 'at', 'timeUtc', 'count', 'meanCelsius', 'minCelsius', 'maxCelsius']

const rows = function* (series: readonly ReturnType<typeof withOffset>[]): Generator<Cell[]> {
  for (const { sensor, points } of series)
    for (const { at, count, mean, min, max } of points) yield [sensor, at, isoTime(at), count, mean, min, max]
}

export const seriesRoutes: FastifyPluginAsyncZod<AppParts> = async (app, { shop, store, clock }) => {
  app.get(
    '/api/series',
    {
      config: { costs: 'computation' },
      schema: {
        summary: 'Readings of sensors over a span, as coarse as the number of points allows',
        querystring: query,
        response: { 200: jsonOrCsv(seriesAnswer), ...refusals },
      },
    },
    async (request, reply) => {
      const ids = [...new Set(request.query.sensors.split(',').map(id => id.trim()))].filter(id => id !== '')
      if (ids.length === 0 || ids.length > mostSensors)
        throw new Refused(
          400,
          `${ids.length} sensors were asked for.`,
          'query "sensors"',
          `Name 1 to ${mostSensors} sensors, with commas between.`,
        )
      const sensors = knownSensors({ shop }, ids)
      const { points, format } = request.query
      const { from, to } = spanOf(request.query, clock(), day)
      const series = await Promise.all(
        sensors.map(async sensor => withOffset(await store.series(sensor.id, from, to, points), sensor)),
      )
      return format === 'csv' ? reply.type('text/csv; charset=utf-8').send(csv(columns, rows(series))) : { series }
    },
  )
}
