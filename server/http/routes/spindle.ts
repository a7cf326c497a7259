import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { growthTest, readWith, spindleAnswer, spindleTest } from '../../../core/spindle/index.js'
import { parseDuration, parseLength, parseSpeed } from '../../../core/units.js'
import { csv } from '../../csv.js'
import { spindleOfTests, spindleTestsOf } from '../../studies/spindle/spindle-tests.js'
import { readingTestRows, testColumns } from '../../studies/spindle/test-rows.js'
import { inTurns } from '../../turns.js'
import { known, knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { Refused, understood } from '../refused.js'
import { signed } from '../schemas/measured.js'
import { refuseFaults, sentTable } from '../table-in.js'
import { formatQuery, jsonOrCsv, sendCsv } from '../table-out.js'
import { timeBefore } from '../time-in.js'

/** bytes; 20,000 rows with room */
const largestTable = 1024 * 1024

const quantity = z.string().trim().max(60)
const entry = z.strictObject({
  ...signed,
  time: quantity
    .optional()
    .describe("when the first step began, as 2026-01-14 06:10 in the shop's time; rows with dates need none"),
  readWith: readWith.default('dial indicator'),
  sense: z
    .enum(['longer reads higher', 'longer reads lower'])
    .default('longer reads higher')
    .describe('what is read when the spindle grows'),
  toolLength: quantity.optional().describe('of the tool or test bar, with its unit: 120 mm'),
  indicatorHeight: quantity.optional().describe('above the table, with its unit'),
  resolution: quantity.optional().describe('step of the reading, with its unit: 1 µm'),
  csv: z
    .string()
    .max(largestTable)
    .optional()
    .describe('headings time,speed,growth: times since the beginning (5 min) or dates with times'),
  steps: z
    .array(z.strictObject({ speed: quantity.describe('6000 1/min'), duration: quantity.describe('60 min') }))
    .max(100)
    .optional()
    .describe('the same as JSON, with readings'),
  readings: z
    .array(z.strictObject({ at: quantity.describe('since the beginning: 5 min'), growth: quantity.describe('12 µm') }))
    .max(20_000)
    .optional(),
})

/** Growth tests: what is on record, and what they tell. In `past-app.ts`, because a fit costs some 100 ms. */
export const spindleRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { store } = parts

  app.get('/api/machines/:id/spindle', {
    config: { costs: 'computation' },
    schema: {
      summary: 'Growth tests of the spindle, and what the newest one tells: steady growth, time constants, curves',
      params: machineParams,
      querystring: z.object({
        test: z.coerce.number().int().optional().describe('id of the test that is shown; the newest if not given'),
        ...formatQuery,
      }),
      response: { 200: jsonOrCsv(spindleAnswer) },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const tests = await spindleTestsOf(store, machine.id)
      const { test } = request.query
      const asked = test === undefined ? undefined : known('test', tests, test, 'query "test"')
      const answer = await spindleOfTests(tests, asked)
      if (request.query.format === 'json') return answer
      // as it can be sent again: a row with a speed is a change, the reading in it was taken just before
      const { steps, readings } = answer.shown?.test.test ?? { steps: [], readings: [] }
      let end = 0
      const changes = steps.map(({ speed, duration }) => {
        end += duration
        return [end - duration, speed * 60, null]
      })
      const rows = [
        ...changes,
        ...readings.map(({ at, growth }) => [at, null, growth]),
        ...(end > 0 ? [[end, null, null]] : []),
      ]
      rows.sort((a, b) => a[0]! - b[0]! || Number(a[1] === null) - Number(b[1] === null))
      return sendCsv(reply, csv(['time (s)', 'speed (1/min)', 'growth (m)'], rows))
    },
  })
}

/** What is written: on the running service. */
export const spindleWrites: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { store, actions, shop } = parts

  app.post('/api/machines/:id/spindle', {
    bodyLimit: largestTable + 64 * 1024,
    schema: {
      summary: 'Stores a growth test of the spindle that was run, as CSV text or JSON',
      params: machineParams,
      body: entry,
      response: { 201: spindleTest },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const { by, note, time, readWith: how, sense, ...sent } = request.body
      const sign = sense === 'longer reads higher' ? 1 : -1
      const length = (text: string | undefined, where: string) =>
        text === undefined ? null : understood(parseLength(text), `body "${where}"`)
      const read = sent.csv === undefined ? asJson(sent, sign) : await asTable(sent.csv, sign)
      const test = growthTest.safeParse({
        steps: read.steps,
        readings: read.readings,
        toolLength: length(sent.toolLength, 'toolLength'),
        indicatorHeight: length(sent.indicatorHeight, 'indicatorHeight'),
        resolution: length(sent.resolution, 'resolution') ?? 0,
      })
      if (!test.success) {
        const { path, message } = test.error.issues[0]!
        throw new Refused(400, `${message}.`, `body "${path.join('.')}"`, 'Correct it. Nothing was stored.')
      }
      const begun = read.begun ?? beginOf(time)
      const added = await actions.addSpindleTest({
        machine: machine.id,
        at: begun,
        by,
        note,
        readWith: how,
        test: test.data,
        run: null,
      })
      request.log.info({ machine: machine.id, by, test: added.id }, 'a growth test was stored')
      return reply.code(201).send(added)
    },
  })

  app.post('/api/machines/:id/spindle/:test/take-back', {
    schema: {
      summary: 'Takes a growth test back that was run or entered wrongly: it no longer counts, and stays on record',
      params: machineParams.extend({ test: z.coerce.number().int() }),
      body: z.strictObject(signed),
      response: { 200: z.object({ left: z.number().describe('tests that still count') }) },
    },
    handler: async request => {
      const machine = knownMachine(parts, request.params.id)
      const tests = await spindleTestsOf(store, machine.id)
      const found = known('test', tests, request.params.test, 'the address, after /spindle/')
      await actions.takeBackSpindleTest(found, request.body)
      return { left: tests.length - 1 }
    },
  })

  const asTable = async (text: string, sign: 1 | -1) => {
    const { faults, ...read } = await inTurns(
      readingTestRows(await sentTable(text, testColumns, testColumns), shop.timeZone, sign),
    )
    refuseFaults(faults, 'body "csv"')
    return read
  }

  const asJson = ({ steps, readings }: Pick<z.infer<typeof entry>, 'steps' | 'readings'>, sign: 1 | -1) => {
    if (!steps || !readings)
      throw new Refused(400, 'There is no test.', 'body', 'Send a table as "csv", or "steps" and "readings".')
    return {
      begun: null,
      steps: steps.map(({ speed, duration }, i) => ({
        speed: understood(parseSpeed(speed), `body "steps", number ${i + 1}`),
        duration: understood(parseDuration(duration), `body "steps", number ${i + 1}`),
      })),
      readings: readings.map(({ at, growth }, i) => ({
        at: understood(parseDuration(at), `body "readings", number ${i + 1}`),
        growth: sign * understood(parseLength(growth), `body "readings", number ${i + 1}`),
      })),
    }
  }

  const beginOf = (text: string | undefined): number => {
    if (text === undefined)
      throw new Refused(
        400,
        'When the test began is not said.',
        'body "time"',
        'Give the time at which the first step began.',
      )
    return timeBefore(parts, text, 'the first step began')
  }
}
