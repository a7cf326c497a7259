import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { csv, isoTime } from '../../csv.js'
import { identificationsOf } from '../../studies/identification/index.js'
import { knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { identificationsAnswer } from '../schemas/answers.js'
import { jsonOrCsv } from '../schemas/json-or-csv.js'
import { refusals } from '../schemas/refusal.js'
import { formatQuery } from '../span.js'

const columns = [
  'node',
  'configuredSeconds',
  'inUseSeconds',
  'relativeUncertainty',
  'identifiedUtc',
  'follows',
  'bestAir',
  'lastAttemptUtc',
  'lastAttemptRefusal',
]

export const identificationsRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  app.get(
    '/api/machines/:id/identifications',
    {
      schema: {
        summary: 'Time constants identified from the history of a machine’s nodes, and why others were not',
        params: machineParams,
        querystring: z.object(formatQuery),
        response: { 200: jsonOrCsv(identificationsAnswer), ...refusals },
      },
    },
    async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const found = await identificationsOf(parts.shop, parts.store, machine, parts.clock())
      const nodes = found.map(({ node, inUse, newest }) => ({
        node: node.id,
        configured: {
          timeConstant: node.timeConstant ?? null,
          uncertainty: node.timeConstantUncertainty ?? null,
        },
        inUse,
        newest,
      }))
      if (request.query.format === 'json') return { nodes }
      const rows = found.map(({ node, inUse, newest }) => [
        node.id,
        node.timeConstant ?? null,
        inUse?.timeConstant ?? node.timeConstant ?? null,
        inUse?.uncertainty ?? node.timeConstantUncertainty ?? null,
        isoTime(inUse?.at ?? null),
        node.follows ?? '',
        newest?.bestAir ?? '',
        isoTime(newest?.at ?? null),
        newest?.refusal ?? '',
      ])
      return reply.type('text/csv; charset=utf-8').send(csv(columns, rows))
    },
  )
}
