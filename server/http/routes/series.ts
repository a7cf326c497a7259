import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { isThermometer, type Sensor } from '../../../core/shop.js'
import { isoTime } from '../../csv.js'
import type { Series } from '../../store/store.js'
import { knownSensors } from '../known.js'
import type { AppParts } from '../parts.js'
import { Refused } from '../refused.js'
import { seriesAnswer } from '../schemas/answers.js'
import { day, pointsQuery, spanOf, spanQuery } from '../span.js'
import { fields, formatQuery, jsonOrCsv, sendTable } from '../table-out.js'

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

export const seriesRoutes: FastifyPluginAsyncZod<AppParts> = async (app, { shop, store, clock }) => {
  app.get('/api/series', {
    config: { costs: 'computation' },
    schema: {
      summary: 'Readings of sensors over a span, as coarse as the number of points allows',
      querystring: query,
      response: { 200: jsonOrCsv(seriesAnswer) },
    },
    handler: async (request, reply) => {
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
      if (format === 'json') return { series }
      const lines = series.flatMap(({ sensor, points }) => points.map(point => ({ sensor, ...point })))
      return sendTable(reply, lines, {
        ...fields('sensor', 'at'),
        timeUtc: p => isoTime(p.at),
        count: p => p.count,
        meanCelsius: p => p.mean,
        minCelsius: p => p.min,
        maxCelsius: p => p.max,
      })
    },
  })
}
