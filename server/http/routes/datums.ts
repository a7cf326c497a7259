import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { DateTime } from 'luxon'
import { z } from 'zod'
import { datum } from '../../../core/state.js'
import { NotNow } from '../../actions/index.js'
import { csv, isoTime } from '../../csv.js'
import { timeReader } from '../../table/index.js'
import { knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { Refused, refusing } from '../refused.js'
import { formatQuery, jsonOrCsv, sendCsv } from '../table-out.js'

const answer = z.object({ datums: z.array(datum) })

const entry = z.strictObject({
  by: z.string('who sets the datum').trim().min(1, 'who sets the datum').max(80),
  note: z.string('what was zeroed, probed or proved').trim().max(500).default(''),
  zeroed: z
    .enum(['first part', 'one place'])
    .default('first part')
    .describe(
      'a first part was measured and the size corrected; or zero was touched off or probed at one place, which does not take ' +
        'away what a warm scale does over a length',
    ),
  time: z
    .string()
    .trim()
    .max(40)
    .optional()
    .describe(
      "when: 06:10 for the last time clocks showed it, or 2026-01-14 06:10, in the shop's time; now if left out",
    ),
})

/** ms; a zero of longer ago is nothing to count from */
const longestAgo = 7 * 86_400_000
const timeOfDay = /^\d\d:\d\d$/

/** @returns ms @throws Refused */
const zeroedAt = (text: string, now: number, zone: string): number => {
  const read = timeReader({ zone, scale: null })
  const today = DateTime.fromMillis(now, { zone })
  const written = (daysAgo: number) =>
    read(timeOfDay.test(text) ? `${today.minus({ days: daysAgo }).toISODate()} ${text}` : text, null)
  let found = written(0)
  if (timeOfDay.test(text) && 'at' in found && found.at > now) found = written(1)
  if ('problem' in found) throw new Refused(400, found.problem, 'time', found.remedy)
  const when = found.at > now ? 'lies ahead' : found.at < now - longestAgo ? 'is more than a week ago' : null
  if (when)
    throw new Refused(400, `"${text}" ${when}.`, 'time', 'Give a time within the last week, or leave it out for now.')
  return found.at
}

export const datumsRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { monitor, store, actions, shop, clock } = parts

  app.get('/api/machines/:id/datums', {
    schema: {
      summary: 'The datums of a machine',
      params: machineParams,
      querystring: z.object(formatQuery),
      response: { 200: jsonOrCsv(answer) },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const datums = await store.facts.of('datum', { subject: machine.id })
      if (request.query.format === 'json') return { datums }
      const headings = ['id', 'machine', 'at', 'timeUtc', 'by', 'note', 'zeroed', 'part Celsius']
      const rows = datums.map(d => [
        ...[d.id, d.machine, d.at, isoTime(d.at), d.by, d.note],
        d.firstPart === undefined ? null : d.firstPart ? 'first part' : 'one place',
        d.part,
        ...machine.nodes.map(node => d.temperatures[node.id]),
      ])
      return sendCsv(reply, csv([...headings, ...machine.nodes.map(node => `${node.id} Celsius`)], rows))
    },
  })

  app.post('/api/machines/:id/datums', {
    schema: {
      summary: "The machine's thermal state now, or at a past moment, becomes its datum",
      params: machineParams,
      body: entry,
      response: { 201: datum },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      if (monitor.shop().filling !== null)
        throw new Refused(409, 'The demo is still filling its history.', 'the service', 'Wait until it is done.')
      const { by, note, zeroed, time } = request.body
      const zeroing = {
        firstPart: zeroed === 'first part',
        ...(time && { at: zeroedAt(time, clock(), shop.timeZone) }),
      }
      const set = await actions
        .setDatum(machine, zeroing, { by, note })
        .catch(refusing(NotNow, asThingsStand(machine.id)))
      request.log.info({ machine: machine.id, by: set.by, datum: set.id }, 'a datum was set')
      return reply.code(201).send(set)
    },
  })
}

const asThingsStand = (machine: string) => (error: NotNow) =>
  new Refused(
    409,
    `No datum can be set: ${error.message}`,
    `machine "${machine}"`,
    'A datum needs the temperature of every required node: look at the sensors, then try again.',
  )
