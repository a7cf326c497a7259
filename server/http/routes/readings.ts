import { Readable } from 'node:stream'
import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { recordingTable } from '../../recording/table.js'
import { knownSensors } from '../known.js'
import type { AppParts } from '../parts.js'
import { day, spanOf, spanQuery } from '../span.js'

/** Readings as a recording. */
export const readingsRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { shop, store, clock } = parts

  app.get('/api/readings', {
    config: { costs: 'export' },
    schema: {
      summary: 'Single readings as CSV, in the form in which a recording is imported and replayed',
      querystring: z.object({
        sensors: z.string().default('').describe('ids with commas between; all sensors when left out'),
        ...spanQuery,
      }),
      response: {
        200: { description: 'the readings', content: { 'text/csv': { schema: z.string() } } },
      },
    },
    handler: async (request, reply) => {
      const ids = request.query.sensors.split(',').flatMap(id => id.trim() || [])
      const sensors = ids.length === 0 ? shop.sensors : knownSensors(parts, ids)
      const { from, to } = spanOf(request.query, clock(), day)
      const file = `readings-${new Date(from).toISOString().slice(0, 10)}.csv`
      const text = Readable.from(recordingTable(store.readings(from, to), sensors), { objectMode: false })
      reply.type('text/csv; charset=utf-8').header('content-disposition', `attachment; filename="${file}"`)
      // the schema says what comes out of it: text
      return reply.send(text as unknown as string)
    },
  })
}
