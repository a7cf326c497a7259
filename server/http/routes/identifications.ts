import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { sayRefusal, shopReader } from '../../../core/sentences/index.js'
import { isoTime } from '../../csv.js'
import { identificationsOf } from '../../studies/identification/index.js'
import { knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { identificationsAnswer } from '../schemas/answers.js'
import { formatQuery, jsonOrCsv, sendTable } from '../table-out.js'

export const identificationsRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  app.get('/api/machines/:id/identifications', {
    schema: {
      summary: 'Time constants identified from the history of a machine’s nodes, and why others were not',
      params: machineParams,
      querystring: z.object(formatQuery),
      response: { 200: jsonOrCsv(identificationsAnswer) },
    },
    handler: async (request, reply) => {
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
      const reader = shopReader(parts.shop, parts.clock())
      return sendTable(reply, found, {
        node: ({ node }) => node.id,
        configuredSeconds: ({ node }) => node.timeConstant,
        inUseSeconds: ({ node, inUse }) => inUse?.timeConstant ?? node.timeConstant,
        relativeUncertainty: ({ node, inUse }) => inUse?.uncertainty ?? node.timeConstantUncertainty,
        identifiedUtc: ({ inUse }) => isoTime(inUse?.at),
        follows: ({ node }) => node.follows,
        bestAir: ({ newest }) => newest?.bestAir,
        lastAttemptUtc: ({ newest }) => isoTime(newest?.at),
        lastAttemptRefusal: ({ newest }) => (newest?.refusal ? sayRefusal(newest.refusal, reader) : ''),
      })
    },
  })
}
