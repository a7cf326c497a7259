import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { decision } from '../../../core/morning/index.js'
import { isoTime } from '../../csv.js'
import { knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { fields, formatQuery, jsonOrCsv, sendTable } from '../table-out.js'

const kept = decision.extend({ id: z.number() })

/** What somebody decided for a machine in the morning; it advises nobody and commands nothing. */
export const decisionsRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { store, actions } = parts

  app.get('/api/machines/:id/decisions', {
    schema: {
      summary: 'What was decided for a machine in the mornings, the newest first',
      params: machineParams,
      querystring: z.object(formatQuery),
      response: { 200: jsonOrCsv(z.object({ decisions: z.array(kept) })) },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const decisions = (await store.facts.of('decision', { subject: machine.id })).reverse()
      if (request.query.format === 'json') return { decisions }
      return sendTable(reply, decisions, {
        id: d => d.id,
        machine: () => machine.id,
        at: d => d.at,
        timeUtc: d => isoTime(d.at),
        decision: d => d.kind,
        ...fields('by', 'note'),
      })
    },
  })

  app.post('/api/machines/:id/decisions', {
    schema: {
      summary: 'Keeps what was decided for a machine: go, wait, or move its work',
      params: machineParams,
      body: z.strictObject({
        decision: decision.shape.kind,
        by: z.string('initials of who decides').trim().min(1, 'initials of who decides').max(80),
        note: z.string().trim().max(500).default(''),
      }),
      response: { 201: kept },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const { decision: kind, by, note } = request.body
      const added = await actions.decide({ machine: machine.id, kind, by, note })
      request.log.info({ machine: machine.id, by, decision: kind }, 'a decision was kept')
      return reply.code(201).send(added)
    },
  })
}
