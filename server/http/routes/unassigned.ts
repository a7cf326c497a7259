import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { csv, isoTime } from '../../csv.js'
import type { AppParts } from '../parts.js'
import { unassignedAnswer } from '../schemas/answers.js'
import { jsonOrCsv } from '../schemas/json-or-csv.js'
import { refusals } from '../schemas/refusal.js'
import { formatQuery } from '../span.js'

const columns = ['topic', 'name', 'count', 'at', 'timeUtc', 'sample']

export const unassignedRoutes: FastifyPluginAsyncZod<AppParts> = async (app, { unassigned }) => {
  app.get(
    '/api/unassigned-topics',
    {
      schema: {
        summary: "What arrives on the topics mapped in the shop file and is none of the shop's sensors",
        querystring: z.object(formatQuery),
        response: { 200: jsonOrCsv(unassignedAnswer), ...refusals },
      },
    },
    async (request, reply) => {
      const found = unassigned()
      if (request.query.format === 'json') return found
      const rows = found.topics.map(t => [t.topic, t.name, t.count, t.at, isoTime(t.at), t.sample])
      return reply.type('text/csv; charset=utf-8').send(csv(columns, rows))
    },
  )
}
