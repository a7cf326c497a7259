import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { workChange, workChangeKind } from '../../../core/happened/index.js'
import { parseLength } from '../../../core/units.js'
import { isoTime } from '../../csv.js'
import { workChangesOf } from '../../studies/happened/work-changes.js'
import { known, knownAxis, knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { Refused, understood } from '../refused.js'
import { signed } from '../schemas/measured.js'
import { fields, formatQuery, jsonOrCsv, sendTable } from '../table-out.js'
import { timeBefore, timeText } from '../time-in.js'

const answer = z.object({ changes: z.array(workChange).describe('in order of the time at which they were done') })

const entry = z.strictObject({
  ...signed,
  kind: workChangeKind,
  time: timeText('it was done'),
  what: z.string().trim().max(200).default('').describe('which tool, which set-up, whose shift'),
  axis: z.string().trim().max(40).optional().describe('id; of an offset: which sizes it moves; all if left out'),
  larger: z
    .string()
    .trim()
    .max(40)
    .optional()
    .describe('of an offset, with its unit: parts became larger by 5 µm, −0.2 mil'),
})

/** Tools, offsets, set-ups and shifts that the shop enters: they can move sizes as heat does. */
export const workChangesRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { store, actions, clock } = parts

  app.get('/api/machines/:id/work-changes', {
    schema: {
      summary: 'Tool changes, offset changes, set-ups and shifts that were entered and stand',
      params: machineParams,
      querystring: z.object(formatQuery),
      response: { 200: jsonOrCsv(answer) },
    },
    handler: async (request, reply) => {
      const changes = await workChangesOf(store, knownMachine(parts, request.params.id).id)
      if (request.query.format === 'json') return { changes }
      return sendTable(reply, changes, {
        ...fields('id', 'kind'),
        timeUtc: c => isoTime(c.at),
        ...fields('what', 'axis'),
        largerMetres: c => c.larger,
        ...fields('by', 'note'),
      })
    },
  })

  app.post('/api/machines/:id/work-changes', {
    schema: {
      summary: 'Records that a tool, an offset or a set-up was changed, or that a shift began',
      params: machineParams,
      body: entry,
      response: { 201: workChange },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const { by, note, kind, time, what, axis, larger } = request.body
      const isOffset = kind === 'offset'
      if (isOffset !== (larger !== undefined) || (axis !== undefined && !isOffset))
        throw new Refused(
          400,
          isOffset ? 'It is not said by how much.' : 'Only an offset has an axis and an amount.',
          'body "larger"',
          isOffset
            ? 'Write by how much parts became larger, with its unit: 5 µm, or -5 µm where they became smaller.'
            : 'Leave "axis" and "larger" out, or enter it as an offset.',
        )
      if (axis !== undefined) knownAxis(machine, axis)
      const change = await actions.addWorkChange({
        ...{
          machine: machine.id,
          kind,
          at: time === undefined ? clock() : timeBefore(parts, time, 'it was done'),
          what,
          by,
          note,
        },
        axis: axis ?? null,
        larger: larger === undefined ? null : understood(parseLength(larger.replace('−', '-')), 'body "larger"'),
      })
      request.log.info({ machine: machine.id, by, kind, change: change.id }, 'a change at a machine was entered')
      return reply.code(201).send(change)
    },
  })

  app.post('/api/machines/:id/work-changes/:change/take-back', {
    schema: {
      summary: 'Takes an entry back that was wrong: it no longer counts, and stays on record',
      params: machineParams.extend({ change: z.coerce.number().int() }),
      body: z.strictObject(signed),
      response: { 200: answer },
    },
    handler: async request => {
      const machine = knownMachine(parts, request.params.id)
      const changes = await workChangesOf(store, machine.id)
      const found = known('change', changes, request.params.change, 'the address, after /work-changes/')
      await actions.takeBackWorkChange(found, request.body)
      request.log.info({ machine: machine.id, by: request.body.by, change: found.id }, 'a change was taken back')
      return { changes: changes.filter(each => each !== found) }
    },
  })
}
