import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { isoTime } from '../../csv.js'
import { machineInWords, readerOf } from '../in-words.js'
import { knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { machinesAnswer, shownMachine } from '../schemas/answers.js'
import { unitsQuery } from '../span.js'
import { fields, formatQuery, jsonOrCsv, sendTable } from '../table-out.js'

export const machinesRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { shop, monitor, clock } = parts

  app.get('/api/machines', {
    schema: {
      summary: 'Every machine: verdict, ready time, thermal error index and reasons for each work class',
      querystring: z.object({ ...formatQuery, ...unitsQuery }),
      response: { 200: jsonOrCsv(machinesAnswer) },
    },
    handler: async (request, reply) => {
      const reader = readerOf(shop, request.query, clock())
      const machines = monitor.machines().map(state => machineInWords(state, reader))
      if (request.query.format === 'json') return { at: reader.now, machines }
      const lines = machines.flatMap(({ machine, classes }) => classes.map(each => ({ machine, ...each })))
      return sendTable(reply, lines, {
        ...fields('machine', 'workClass', 'verdict'),
        sinceUtc: c => isoTime(c.since),
        thermalErrorIndexPercent: c => c.thermalErrorIndex,
        readyEarliestUtc: c => isoTime(c.ready?.earliest),
        readyLikelyUtc: c => isoTime(c.ready?.likely),
        readyLatestUtc: c => isoTime(c.ready?.latest),
        mainReason: c => c.reasons[0]?.text,
        mainReasonMore: c => c.reasons[0]?.more,
        remedy: c => c.remedy?.text,
        remedyMore: c => c.remedy?.more,
      })
    },
  })

  app.get('/api/machines/:id', {
    schema: {
      summary: 'One machine',
      params: machineParams,
      querystring: z.object(unitsQuery),
      response: { 200: shownMachine },
    },
    handler: async request => {
      const { id } = knownMachine(parts, request.params.id)
      return machineInWords(monitor.machine(id)!, readerOf(shop, request.query, clock()))
    },
  })
}
