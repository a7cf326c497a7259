import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { csv, isoTime } from '../csv.js'
import type { AppParts } from '../parts.js'
import { jsonOrCsv } from '../schemas/json-or-csv.js'
import { refusals } from '../schemas/refusal.js'
import { formatQuery } from '../span.js'

const answer = z.object({
  topics: z.array(
    z.object({
      topic: z.string(),
      name: z.string().describe("the sensor's name as the shop file's mapping reads it; empty when nothing names one"),
      count: z.number().describe('messages, or items of them, since the start of the service'),
      at: z.number().describe('of the newest, ms since 1970 UTC'),
      sample: z.string().describe('the beginning of the newest'),
    }),
  ),
  count: z.number().describe('on all topics together'),
  beyond: z.number().describe('messages on further topics than are kept here'),
})

const columns = ['topic', 'name', 'count', 'at', 'timeUtc', 'sample']

export const unassignedRoutes: FastifyPluginAsyncZod<AppParts> = async (app, { unassigned }) => {
  app.get(
    '/api/unassigned-topics',
    {
      schema: {
        summary: "What arrives on the topics mapped in the shop file and is none of the shop's sensors",
        querystring: z.object(formatQuery),
        response: { 200: jsonOrCsv(answer), ...refusals },
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
