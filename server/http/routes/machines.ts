import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { type Cell, csv, isoTime } from '../../csv.js'
import { machineInWords, readerOf } from '../in-words.js'
import { knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { machinesAnswer, type ShownMachine, shownMachine } from '../schemas/answers.js'
import { jsonOrCsv } from '../schemas/json-or-csv.js'
import { refusals } from '../schemas/refusal.js'
import { formatQuery, unitsQuery } from '../span.js'

const columns = [
  'machine',
  'workClass',
  'verdict',
  'sinceUtc',
  'thermalErrorIndexPercent',
  'readyEarliestUtc',
  'readyLikelyUtc',
  'readyLatestUtc',
  'mainReason',
  'mainReasonMore',
  'remedy',
  'remedyMore',
]

const rows = function* (machines: readonly ShownMachine[]): Generator<Cell[]> {
  for (const { machine, classes } of machines)
    for (const { workClass, verdict, since, thermalErrorIndex, ready, reasons, remedy } of classes)
      yield [
        machine,
        workClass,
        verdict,
        isoTime(since),
        thermalErrorIndex,
        isoTime(ready?.earliest ?? null),
        isoTime(ready?.likely ?? null),
        isoTime(ready?.latest ?? null),
        reasons[0]?.text ?? '',
        reasons[0]?.more ?? '',
        remedy?.text ?? '',
        remedy?.more ?? '',
      ]
}

export const machinesRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { shop, monitor, clock } = parts

  app.get(
    '/api/machines',
    {
      schema: {
        summary: 'Every machine: verdict, ready time, thermal error index and reasons for each work class',
        querystring: z.object({ ...formatQuery, ...unitsQuery }),
        response: { 200: jsonOrCsv(machinesAnswer), ...refusals },
      },
    },
    async (request, reply) => {
      const reader = readerOf(shop, request.query, clock())
      const machines = monitor.machines().map(state => machineInWords(state, reader))
      if (request.query.format === 'csv')
        return reply.type('text/csv; charset=utf-8').send(csv(columns, rows(machines)))
      return { at: reader.now, machines }
    },
  )

  app.get(
    '/api/machines/:id',
    {
      schema: {
        summary: 'One machine',
        params: machineParams,
        querystring: z.object(unitsQuery),
        response: { 200: shownMachine, ...refusals },
      },
    },
    async request => {
      const { id } = knownMachine(parts, request.params.id)
      return machineInWords(monitor.machine(id)!, readerOf(shop, request.query, clock()))
    },
  )
}
