import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { type MachineState, machineState } from '../../../core/state.js'
import { type Cell, csv, isoTime } from '../../csv.js'
import { knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { jsonOrCsv } from '../schemas/json-or-csv.js'
import { refusals } from '../schemas/refusal.js'
import { formatQuery } from '../span.js'

const machinesAnswer = z.object({ at: z.number().describe('ms since 1970 UTC'), machines: z.array(machineState) })

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
]

const rows = function* (machines: readonly MachineState[]): Generator<Cell[]> {
  for (const { machine, classes } of machines)
    for (const { workClass, verdict, since, thermalErrorIndex, ready, reasons } of classes)
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
      ]
}

export const machinesRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { monitor, clock } = parts

  app.get(
    '/api/machines',
    {
      schema: {
        summary: 'Every machine: verdict, ready time, thermal error index and reasons for each work class',
        querystring: z.object(formatQuery),
        response: { 200: jsonOrCsv(machinesAnswer), ...refusals },
      },
    },
    async (request, reply) => {
      const machines = monitor.machines()
      if (request.query.format === 'csv')
        return reply.type('text/csv; charset=utf-8').send(csv(columns, rows(machines)))
      return { at: clock(), machines }
    },
  )

  app.get(
    '/api/machines/:id',
    {
      schema: {
        summary: 'One machine',
        params: machineParams,
        response: { 200: machineState, ...refusals },
      },
    },
    async request => parts.monitor.machine(knownMachine(parts, request.params.id).id),
  )
}
