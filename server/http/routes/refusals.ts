import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { csv, isoTime } from '../../csv.js'
import type { AppParts } from '../parts.js'
import { refusalsAnswer } from '../schemas/answers.js'
import { jsonOrCsv } from '../schemas/json-or-csv.js'
import { refusals } from '../schemas/refusal.js'
import { formatQuery } from '../span.js'

const columns = ['at', 'timeUtc', 'topic', 'reason', 'sample']

export const refusalsRoutes: FastifyPluginAsyncZod<AppParts> = async (app, { store }) => {
  app.get(
    '/api/refusals',
    {
      schema: {
        summary: 'Messages that could not be taken as readings: counted by reason, some kept',
        querystring: z.object(formatQuery),
        response: { 200: jsonOrCsv(refusalsAnswer), ...refusals },
      },
    },
    async (request, reply) => {
      const kept = await store.refusals()
      if (request.query.format === 'json') return kept
      const rows = kept.samples.map(s => [s.at, isoTime(s.at), s.topic, s.reason, s.sample])
      return reply.type('text/csv; charset=utf-8').send(csv(columns, rows))
    },
  )
}
