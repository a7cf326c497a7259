import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { datum } from '../../../core/state.js'
import { NotNow } from '../../actions/index.js'
import { csv, isoTime } from '../../csv.js'
import { knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { Refused } from '../refused.js'
import { jsonOrCsv } from '../schemas/json-or-csv.js'
import { refusals } from '../schemas/refusal.js'
import { formatQuery } from '../span.js'

const answer = z.object({ datums: z.array(datum) })

const entry = z.strictObject({
  by: z.string('who sets the datum').trim().min(1, 'who sets the datum').max(80),
  note: z.string('what was zeroed, probed or proved').trim().max(500).default(''),
})

export const datumsRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { monitor, store, actions } = parts

  app.get(
    '/api/machines/:id/datums',
    {
      schema: {
        summary: 'The datums of a machine',
        params: machineParams,
        querystring: z.object(formatQuery),
        response: { 200: jsonOrCsv(answer), ...refusals },
      },
    },
    async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const datums = await store.facts.of('datum', { subject: machine.id })
      if (request.query.format === 'json') return { datums }
      const nodes = machine.nodes.map(node => node.id)
      const rows = datums.map(d => [
        d.id,
        d.machine,
        d.at,
        isoTime(d.at),
        d.by,
        d.note,
        ...nodes.map(node => d.temperatures[node] ?? null),
      ])
      const columns = ['id', 'machine', 'at', 'timeUtc', 'by', 'note', ...nodes.map(node => `${node} Celsius`)]
      return reply.type('text/csv; charset=utf-8').send(csv(columns, rows))
    },
  )

  app.post(
    '/api/machines/:id/datums',
    {
      schema: {
        summary: "The machine's thermal state now becomes its datum",
        params: machineParams,
        body: entry,
        security: [{ token: [] }, {}],
        response: { 201: datum, ...refusals },
      },
    },
    async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      if (monitor.shop().filling !== null)
        throw new Refused(409, 'The demo is still filling its history.', 'the service', 'Wait until it is done.')
      const set = await actions.setDatum(machine.id, request.body).catch(refusedAsThingsStand(machine.id))
      request.log.info({ machine: machine.id, by: set.by, datum: set.id }, 'a datum was set')
      return reply.code(201).send(set)
    },
  )
}

/** the action, as HTTP refuses it */
const refusedAsThingsStand = (machine: string) => (error: unknown) => {
  if (!(error instanceof NotNow)) throw error
  throw new Refused(
    409,
    `No datum can be set: ${error.message}`,
    `machine "${machine}"`,
    'A datum needs the temperature of every required node: look at the sensors, then try again.',
  )
}
