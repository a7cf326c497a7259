import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { happenedAnswer } from '../../../core/happened/index.js'
import { happenedOn } from '../../studies/happened/happened.js'
import { happenedCsv, happenedTables } from '../happened-tables.js'
import { readerOf } from '../in-words.js'
import { knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { Refused } from '../refused.js'
import { day, hour, spanOf, spanQuery, unitsQuery } from '../span.js'
import { formatQuery, jsonOrCsv, sendCsv } from '../table-out.js'

const longest = 14 * day
/** ms; shorter than two reports of a slow sensor, nothing can be told */
const shortest = 60_000

export const happenedRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  app.get('/api/machines/:id/happened', {
    config: { costs: 'computation' },
    schema: {
      summary: 'What happened on a machine over a stretch of its past, and what would have become of jobs begun then',
      description:
        'Temperatures, growth, doors and heat sources, what people did and what the wall showed, as it was believed then. A job’s outcome takes size error at its start and the largest drift until its end, as temperatures came.',
      params: machineParams,
      querystring: z.object({
        ...spanQuery,
        ...formatQuery,
        ...unitsQuery,
        table: z.enum(happenedTables).default('course').describe('which table, where CSV is asked for'),
      }),
      response: { 200: jsonOrCsv(happenedAnswer) },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const now = parts.clock()
      const asked = spanOf(request.query, now, 3 * hour)
      const span = { from: asked.from, to: Math.min(asked.to, now) }
      const refuse = (what: string, remedy: string) => new Refused(400, what, 'query "from" and "to"', remedy)
      if (span.from > now - shortest) throw refuse('The span lies ahead.', 'Ask for a time that has passed.')
      if (span.to - span.from < shortest) throw refuse('The span is too short.', 'Ask for a minute at least.')
      if (span.to - span.from > longest) throw refuse('The span is longer than two weeks.', 'Ask for a part of it.')
      const answer = await happenedOn(parts, machine, span, now)
      const { table, format } = request.query
      if (format === 'json') return answer
      const reader = readerOf(parts.shop, request.query, now)
      return sendCsv(reply, happenedCsv(answer, table, parts.shop, reader))
    },
  })
}
