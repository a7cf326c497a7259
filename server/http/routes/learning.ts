import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import type { Machine } from '../../../core/shop.js'
import { type FactorChange, factorChange, measurement } from '../../../core/state.js'
import { measurementsOf } from '../../actions/index.js'
import { isoTime } from '../../csv.js'
import { type Learning, learningOf, rememberedNodes } from '../../studies/learning/learning.js'
import { mandatoryColumns, measurementColumns, readingMeasurements } from '../../studies/learning/measurement-rows.js'
import type { TableRow } from '../../table/index.js'
import { inTurns } from '../../turns.js'
import { known, knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { askedBeside } from '../plugins/costly.js'
import { Refused } from '../refused.js'
import { learningAnswer, signed } from '../schemas/measured.js'
import { refuseFaults, sentTable } from '../table-in.js'
import { fields, formatQuery, jsonOrCsv, sendTable } from '../table-out.js'

const largestTable = 512 * 1024

const cell = z.string().max(200)
const entry = z.strictObject({
  ...signed,
  csv: z
    .string()
    .max(largestTable)
    .optional()
    .describe(`a table with the headings ${measurementColumns.join(', ')}; position and note may be left out`),
  one: z
    .strictObject({
      axis: cell,
      zero: cell.describe('when it was set to zero, as 2026-01-14 09:30 (the shop’s time) or with its zone'),
      time: cell.describe('when it was read'),
      value: cell.describe('since the zero, with its unit; positive = longer'),
      uncertainty: cell.describe('standard uncertainty of one reading, with its unit'),
      position: cell.optional().describe('place of the travel; where the work is held when left out'),
    })
    .optional()
    .describe('a single measurement'),
})

const decision = z.strictObject({
  ...signed,
  factors: z
    .record(z.string(), z.number())
    .nullable()
    .describe('the factors that were seen and are accepted; null returns to the nominal model'),
})

/** a factor may differ so much from what was seen */
const sameFactor = 0.0005

type Answer = z.infer<typeof learningAnswer>

const answerOf = (changes: FactorChange[], learning: Learning): Answer => {
  const { judged, learned, elements, heldOut } = learning
  const inUse = changes[0]?.factors ? changes[0] : null
  let usable = -1
  return {
    measurements: judged.map(({ measurement, growth, why }) => {
      if (!growth) return { ...measurement, computed: null, heldOut: null, why }
      usable++
      const computed = Object.values(growth.effects).reduce((sum, effect) => sum + effect, 0)
      const error = heldOut?.errors[usable]?.corrected
      return { ...measurement, computed, heldOut: error === undefined ? null : growth.value - error, why }
    }),
    factors: learned.factors.map((factor, i) => ({ ...factor, axes: elements[i]!.axes })),
    birgeRatio: learned.birgeRatio,
    heldOut: heldOut && (({ errors, ...figures }) => figures)(heldOut),
    inUse,
    changes,
  }
}

const rowsOf = async ({ csv: text, one }: Pick<z.infer<typeof entry>, 'csv' | 'one'>): Promise<TableRow[]> => {
  if (text !== undefined) return sentTable(text, measurementColumns, mandatoryColumns)
  if (one) return [{ line: 0, units: {}, cells: { ...one, position: one.position ?? '' } }]
  throw new Refused(400, 'There is no measurement.', 'body', 'Send "one" measurement or a table as "csv".')
}

export const learningRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { store, shop, clock, actions } = parts
  const changesOf = async ({ id }: Machine) => (await store.facts.of('factors', { subject: id })).reverse()
  const nodesAt = rememberedNodes(parts)
  const learned = async (machine: Machine) =>
    answerOf(await changesOf(machine), await learningOf(parts, machine, nodesAt))

  app.get('/api/machines/:id/learning', {
    config: { costs: 'computation' },
    schema: {
      summary:
        "Measured growth, the scale factors of the loop's elements it suggests, and the proof on what was held out",
      params: machineParams,
      querystring: z.object(formatQuery),
      response: { 200: jsonOrCsv(learningAnswer) },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const answer = await learned(machine)
      if (request.query.format === 'json') return answer
      return sendTable(reply, answer.measurements, {
        ...fields('id', 'axis'),
        positionMetres: m => m.position,
        zeroUtc: m => isoTime(m.zeroAt),
        timeUtc: m => isoTime(m.at),
        valueMetres: m => m.value,
        uncertaintyMetres: m => m.uncertainty,
        ...fields('by', 'note'),
        nominalMetres: m => m.computed,
        heldOutMetres: m => m.heldOut,
        notUsed: m => m.why,
      })
    },
  })

  app.post('/api/machines/:id/measurements', {
    bodyLimit: largestTable + 64 * 1024,
    schema: {
      summary: 'Stores measured growth, one or a table as CSV',
      params: machineParams,
      body: entry,
      response: { 201: z.object({ measurements: z.array(measurement) }) },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const { by, note } = request.body
      const context = { by, note, zone: shop.timeZone, now: clock() }
      const rows = await rowsOf(request.body)
      const { measurements, faults } = await inTurns(readingMeasurements(rows, machine, context))
      refuseFaults(faults, request.body.csv !== undefined ? 'body "csv"' : 'body "one"')
      const added = await actions.addMeasurements(measurements)
      request.log.info({ machine: machine.id, by, count: added.length }, 'measurements were stored')
      return reply.code(201).send({ measurements: added })
    },
  })

  app.post('/api/machines/:id/measurements/:measurement/set-aside', {
    schema: {
      summary: 'A measurement no longer counts; it stays on record',
      params: machineParams.extend({ measurement: z.coerce.number().int() }),
      body: z.strictObject(signed),
      response: { 201: measurement },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const id = request.params.measurement
      const all = await measurementsOf(store, machine.id)
      const found = known('measurement', all, id, 'the address, after /measurements/')
      if (found.setAside)
        throw new Refused(409, 'It is set aside already.', `measurement ${id}`, 'Nothing is left to do.')
      const aside = await actions.setAside(found, request.body)
      request.log.info({ machine: machine.id, by: request.body.by, measurement: id }, 'a measurement was set aside')
      return reply.code(201).send(aside)
    },
  })

  app.post('/api/machines/:id/factors', {
    schema: {
      summary: 'Accepts the learned factors, or returns to the nominal model',
      params: machineParams,
      body: decision,
      response: { 201: factorChange },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const { by, note, factors } = request.body
      const shown =
        factors &&
        accepted(
          await askedBeside(parts, `/api/machines/${encodeURIComponent(machine.id)}/learning`, () => learned(machine)),
          factors,
        )
      if (!factors && !(await changesOf(machine))[0]?.factors)
        throw new Refused(409, 'The nominal model holds already.', 'body "factors"', 'Nothing is left to do.')
      const change = await actions.changeFactors({ machine: machine.id, by, note, factors, shown })
      request.log.info({ machine: machine.id, by, change: change.id, nominal: !factors }, 'factors were changed')
      return reply.code(201).send(change)
    },
  })
}

/** @throws Refused 409 when there is no proof, or what is accepted is not what would be learned now */
const accepted = ({ factors: learned, heldOut, measurements }: Answer, factors: Readonly<Record<string, number>>) => {
  if (!heldOut)
    throw new Refused(
      409,
      'There are too few days with measurements to show that the factors help.',
      'body "factors"',
      'Measure on three days at least, each from a zero of its own.',
    )
  if (!heldOut.improves)
    throw new Refused(
      409,
      'On measurements held out the learned factors are not better than the nominal model.',
      'body "factors"',
      'Stay with the nominal model, and look for what is wrong in the measurements or in the description of the machine.',
    )
  const same =
    Object.keys(factors).length === learned.length &&
    learned.every(f => Math.abs((factors[f.element] ?? Number.NaN) - f.factor) <= sameFactor)
  if (!same)
    throw new Refused(
      409,
      'These are not the factors that the measurements now give.',
      'body "factors"',
      'Look at them again, then accept: a measurement was added or set aside meanwhile.',
    )
  return {
    nominal: heldOut.nominal,
    corrected: heldOut.corrected,
    occasions: heldOut.occasions,
    measurements: measurements.filter(m => m.computed !== null).length,
  }
}
