import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { isoTime } from '../../csv.js'
import type { AppParts } from '../parts.js'
import { refusalsAnswer } from '../schemas/answers.js'
import { fields, formatQuery, jsonOrCsv, sendTable } from '../table-out.js'

export const refusalsRoutes: FastifyPluginAsyncZod<AppParts> = async (app, { store }) => {
  app.get('/api/refusals', {
    schema: {
      summary: 'Messages that could not be taken as readings: counted by reason, some kept',
      querystring: z.object(formatQuery),
      response: { 200: jsonOrCsv(refusalsAnswer) },
    },
    handler: async (request, reply) => {
      const kept = await store.refusals()
      if (request.query.format === 'json') return kept
      return sendTable(reply, kept.samples, {
        at: s => s.at,
        timeUtc: s => isoTime(s.at),
        ...fields('topic', 'reason', 'sample'),
      })
    },
  })
}
