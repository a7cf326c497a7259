import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { isoTime } from '../../csv.js'
import { readerOf, verdictInWords } from '../in-words.js'
import { knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { verdictsAnswer } from '../schemas/answers.js'
import { day, spanOf, spanQuery, unitsQuery } from '../span.js'
import { fields, formatQuery, jsonOrCsv, sendTable } from '../table-out.js'

export const verdictsRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  app.get('/api/machines/:id/verdicts', {
    config: { costs: 'computation' },
    schema: {
      summary: 'The verdicts a machine was given, as they were shown',
      params: machineParams,
      querystring: z.object({ ...spanQuery, ...formatQuery, ...unitsQuery }),
      response: { 200: jsonOrCsv(verdictsAnswer) },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const { from, to } = spanOf(request.query, parts.clock(), 14 * day)
      const reader = readerOf(parts.shop, request.query, parts.clock())
      const facts = await parts.store.facts.of('verdict', { subject: machine.id, from, to })
      const verdicts = facts.map(({ id: _, ...change }) => verdictInWords(change, reader))
      if (request.query.format === 'json') return { verdicts }
      return sendTable(reply, verdicts, {
        ...fields('machine', 'workClass', 'at'),
        timeUtc: v => isoTime(v.at),
        verdict: v => v.verdict,
        thermalErrorIndexPercent: v => v.thermalErrorIndex,
        reason: v => v.reason,
      })
    },
  })
}
