import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { DateTime } from 'luxon'
import { z } from 'zod'
import { alignmentAnswer, alignmentCheck, alignmentKind, parseSlope } from '../../../core/alignment/index.js'
import { isoTime } from '../../csv.js'
import { alignmentChecksOf, followsOf, thermalStateOf } from '../../studies/alignment/alignment.js'
import { known, knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { understood } from '../refused.js'
import { signed } from '../schemas/measured.js'
import { fields, formatQuery, jsonOrCsv, sendTable } from '../table-out.js'
import { timeBefore, timeText } from '../time-in.js'

const slopeText = z.string().trim().max(60)
const entry = z.strictObject({
  ...signed,
  kind: alignmentKind,
  time: timeText('it was read'),
  instrument: z.string('what it was read with').trim().min(1, 'what it was read with').max(120),
  readings: z
    .array(
      z.strictObject({
        direction: z.string().trim().min(1, 'along what').max(60).describe('along X, X to Y, front to rear …'),
        value: slopeText.describe('with its unit: 0.02 mm/m, 0.0005 in/ft, 12 µm over 300 mm'),
        reversed: slopeText.optional().describe('as read with the instrument turned end for end'),
      }),
    )
    .min(1, 'at least one reading')
    .max(12),
  due: z.iso.date('a day is written as 2026-07-14').optional().describe('by when it must be checked again'),
})

export const alignmentRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { store, actions, shop, clock } = parts

  app.get('/api/machines/:id/alignment', {
    schema: {
      summary: 'Level, squareness and spindle tram as they were found, and whether they follow the temperature',
      params: machineParams,
      querystring: z.object(formatQuery),
      response: { 200: jsonOrCsv(alignmentAnswer) },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const checks = await alignmentChecksOf(store, machine.id)
      if (request.query.format === 'csv') {
        const rows = checks.flatMap(check => check.readings.map(reading => ({ ...check, ...reading })))
        return sendTable(reply, rows, {
          ...fields('id', 'kind'),
          timeUtc: c => isoTime(c.at),
          direction: c => c.direction,
          slope: c => c.value,
          ...fields('reversed', 'instrument', 'by', 'note'),
          settling: c => (c.moving ? 'yes' : 'no'),
        })
      }
      const today = DateTime.fromMillis(clock(), { zone: shop.timeZone }).toISODate()!
      const due = alignmentKind.options.flatMap(kind => {
        const last = checks.findLast(check => check.kind === kind)
        return last?.due ? [{ kind, due: last.due, overdue: last.due < today }] : []
      })
      return { checks, due, follows: followsOf(checks) }
    },
  })

  app.post('/api/machines/:id/alignment', {
    schema: {
      summary: 'Records a check of level, squareness or tram, with the thermal state of the machine then',
      params: machineParams,
      body: entry,
      response: { 201: alignmentCheck },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const { time, readings, ...said } = request.body
      const at = time === undefined ? clock() : timeBefore(parts, time, 'it was read')
      const check = await actions.addAlignmentCheck({
        ...said,
        machine: machine.id,
        at,
        readings: readings.map(({ direction, value, reversed }, i) => ({
          direction,
          value: understood(parseSlope(value), `body "readings", number ${i + 1}`),
          ...(reversed !== undefined && {
            reversed: understood(parseSlope(reversed), `body "readings", number ${i + 1}, turned`),
          }),
        })),
        ...(await thermalStateOf(parts, machine, at)),
      })
      request.log.info({ machine: machine.id, by: said.by, check: check.id }, 'an alignment check was recorded')
      return reply.code(201).send(check)
    },
  })

  app.post('/api/machines/:id/alignment/:check/take-back', {
    schema: {
      summary: 'Takes a check back that was entered wrongly: it no longer counts, and stays on record',
      params: machineParams.extend({ check: z.coerce.number().int() }),
      body: z.strictObject(signed),
      response: { 200: alignmentAnswer.pick({ checks: true }) },
    },
    handler: async request => {
      const machine = knownMachine(parts, request.params.id)
      const checks = await alignmentChecksOf(store, machine.id)
      const found = known('check', checks, request.params.check, 'the address, after /alignment/')
      await actions.takeBackAlignmentCheck(found, request.body)
      return { checks: checks.filter(check => check !== found) }
    },
  })
}
