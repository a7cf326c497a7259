import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { isoTime } from '../../csv.js'
import type { AppParts } from '../parts.js'
import { unassignedAnswer } from '../schemas/answers.js'
import { fields, formatQuery, jsonOrCsv, sendTable } from '../table-out.js'

export const unassignedRoutes: FastifyPluginAsyncZod<AppParts> = async (app, { unassigned }) => {
  app.get('/api/unassigned-topics', {
    schema: {
      summary: "What arrives on the topics mapped in the shop file and is none of the shop's sensors",
      querystring: z.object(formatQuery),
      response: { 200: jsonOrCsv(unassignedAnswer) },
    },
    handler: async (request, reply) => {
      const found = unassigned()
      if (request.query.format === 'json') return found
      return sendTable(reply, found.topics, {
        ...fields('topic', 'name', 'count', 'at'),
        timeUtc: t => isoTime(t.at),
        sample: t => t.sample,
      })
    },
  })
}
