import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { worstWindow } from '../../../core/environment/index.js'
import type { Machine } from '../../../core/shop.js'
import type { DriftLog } from '../../../core/state.js'
import { isoTime } from '../../csv.js'
import { readingDriftLog } from '../../studies/environment/drift-log.js'
import { environmentTest, logComparison } from '../../studies/environment/environment-test.js'
import type { TableRow } from '../../table/index.js'
import { inTurns } from '../../turns.js'
import { known, knownAxis, knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { comparisonAnswer, environmentAnswer, logSummary, signed } from '../schemas/measured.js'
import { day, spanOf, spanQuery } from '../span.js'
import { refuseFaults, sentTable } from '../table-in.js'
import { formatQuery, jsonOrCsv, sendTable } from '../table-out.js'

const windowQuery = {
  window: z.coerce
    .number('must be a number of seconds')
    .min(300)
    .max(30 * 86_400)
    .default(3600)
    .describe('s; the length within which the largest change is looked for'),
}

/** bytes; 20,000 rows of a log with room */
const largestLog = 2 * 1024 * 1024

const sent = z.strictObject({
  ...signed,
  axis: z.string('the axis the indicator stood on'),
  sense: z
    .enum(['longer reads higher', 'longer reads lower'])
    .default('longer reads higher')
    .describe('what the indicator does when the axis grows'),
  csv: z.string().max(largestLog).optional().describe('headings time,value; a unit behind "value" or in each cell'),
  points: z
    .array(z.strictObject({ time: z.string(), value: z.string().describe('with its unit: "1.2 µm"') }))
    .max(20_000)
    .optional()
    .describe('the same as JSON'),
})

const summary = ({ id, axis, sign, enteredAt, by, note, points }: DriftLog) => ({
  id,
  axis,
  sign,
  enteredAt,
  by,
  note,
  from: points[0]!.at,
  to: points.at(-1)!.at,
  count: points.length,
})

const rowsOf = async ({ csv: text, points }: Pick<z.infer<typeof sent>, 'csv' | 'points'>): Promise<TableRow[]> =>
  text !== undefined
    ? sentTable(text, ['time', 'value'], ['time', 'value'])
    : (points ?? []).map((cells, i) => ({ line: i + 1, cells, units: {} }))

export const environmentRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { store, shop, clock, actions } = parts
  const logsOf = async ({ id }: Machine) => (await store.facts.of('drift log', { subject: id })).reverse()

  app.get('/api/machines/:id/environment', {
    config: { costs: 'computation' },
    schema: {
      summary: "What a machine at rest does with its surroundings' changes (ETVE in the manner of ISO 230-3)",
      params: machineParams,
      querystring: z.object({ ...spanQuery, ...windowQuery, ...formatQuery }),
      response: { 200: jsonOrCsv(environmentAnswer) },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const span = spanOf(request.query, clock(), day)
      const { window, format } = request.query
      const test = await environmentTest(parts, machine, span, window * 1000)
      if (format === 'json') return { ...span, window, ...test, logs: (await logsOf(machine)).map(summary) }
      return sendTable(reply, test.at.keys(), {
        at: i => test.at[i],
        timeUtc: i => isoTime(test.at[i]),
        airCelsius: i => test.airTemperature[i],
        ...Object.fromEntries(test.axes.map(a => [`${a.axis} growth metres`, (i: number) => a.growth[i]])),
      })
    },
  })

  app.get('/api/machines/:id/environment/logs/:log', {
    config: { costs: 'computation' },
    schema: {
      summary: 'A log of an indicator or probe beside the growth computed from temperatures',
      params: machineParams.extend({ log: z.coerce.number().int() }),
      querystring: z.object({ ...windowQuery, ...formatQuery }),
      response: { 200: jsonOrCsv(comparisonAnswer) },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const log = known('log', await logsOf(machine), request.params.log, 'the address, after /logs/')
      const comparison = await logComparison(parts, machine, log)
      if (request.query.format === 'csv') {
        return sendTable(reply, comparison?.points ?? [], {
          at: p => p.at,
          timeUtc: p => isoTime(p.at),
          measuredMetres: p => p.measured,
          predictedMetres: p => p.predicted,
          residualMetres: p => p.residual,
        })
      }
      const worst = worstWindow(
        log.points.map(p => p.at),
        log.points.map(p => p.value),
        request.query.window * 1000,
      )
      return { log: summary(log), comparison, worst }
    },
  })

  app.post('/api/machines/:id/environment/logs', {
    bodyLimit: largestLog + 64 * 1024,
    schema: {
      summary: 'Stores a log of an indicator or probe, as CSV text or JSON',
      params: machineParams,
      body: sent,
      response: { 201: logSummary },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const { by, note, sense, ...body } = request.body
      const axis = knownAxis(machine, body.axis).id
      const where = body.csv !== undefined ? 'body "csv"' : 'body "points"'
      const { points, faults } = await inTurns(readingDriftLog(await rowsOf(body), shop.timeZone, clock()))
      refuseFaults(faults, where)
      const sign = sense === 'longer reads higher' ? 1 : -1
      const log = await actions.addDriftLog({ machine: machine.id, axis, sign, by, note, points })
      request.log.info({ machine: machine.id, by, log: log.id, values: points.length }, 'a drift log was stored')
      return reply.code(201).send(summary(log))
    },
  })
}
