import { Readable } from 'node:stream'
import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { recordingChoices } from '../../../core/facts.js'
import { isoTime } from '../../csv.js'
import { importJob } from '../../recording/import-job.js'
import { ImportBusy, largestRecording, TooLarge } from '../../recording/import-state.js'
import { importsOf } from '../../recording/imports.js'
import { takingBack } from '../../recording/taking-back.js'
import { ClosedAlready } from '../../store/facts.js'
import type { AppParts } from '../parts.js'
import { recordingAnswer } from '../recording-answer.js'
import { Refused, refusing } from '../refused.js'
import { signed } from '../schemas/measured.js'
import { importFact, recordingState } from '../schemas/recording.js'
import { begunColumns, fields, formatQuery, jsonOrCsv, sendTable, takenBackColumns } from '../table-out.js'

const megabytes = Math.round(largestRecording / 1024 / 1024)

const tooLarge = () =>
  new Refused(
    413,
    `The recording is larger than ${megabytes} MB. Nothing of it was kept.`,
    'the body',
    'Split it into several files; every row that is there already is left as it is.',
  )

const busy = (error: ImportBusy) =>
  new Refused(409, error.message, 'the recording', 'Wait until it is done, or discard it, then try again.')

/** a shop imports a few a month */
const mostImports = 500

/** Importing a recording, one at a time. */
export const recordingRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { shop, store, clock, keptSince, uploads } = parts
  const job = importJob({ shop, store, clock, keptSince, uploads })
  const back = takingBack(store, clock, error =>
    app.log.error({ err: error }, 'an import could not be taken back to its end; the next start goes on with it'),
  )
  await back.resume()
  app.addHook('onClose', () => Promise.all([job.close(), back.close()]))
  // as it comes, never whole in memory; only in the routes of this file
  app.addContentTypeParser('text/csv', (_request, payload, done) => done(null, payload))

  app.get('/api/recording', {
    schema: {
      summary: 'The recording that is being received, looked through or imported; its faults as CSV',
      querystring: z.object(formatQuery),
      response: { 200: jsonOrCsv(recordingState) },
    },
    handler: async (request, reply) => {
      const answer = recordingAnswer(job.state())
      if (request.query.format === 'json') return answer
      return sendTable(reply, answer.contents?.faults ?? [], {
        ...fields('line', 'column', 'kind', 'problem', 'remedy'),
      })
    },
  })

  app.post('/api/recording', {
    bodyLimit: largestRecording,
    schema: {
      summary: 'Takes in a recording (the body, text/csv) and says what is in it; stores nothing yet',
      querystring: z.object({ name: z.string().trim().max(200).default('').describe('of the file, to be shown') }),
      response: { 201: recordingState },
    },
    handler: async (request, reply) => {
      const { body } = request
      if (!(body instanceof Readable))
        throw new Refused(
          415,
          'The body is no recording.',
          'header "Content-Type"',
          'Send the CSV file itself as the body, with "Content-Type: text/csv".',
        )
      const size = Number(request.headers['content-length'] ?? 0)
      if (size > largestRecording) throw tooLarge()
      try {
        const state = await job.receive(body, request.query.name, size)
        return reply.code(201).send(recordingAnswer(state))
      } catch (error) {
        if (error instanceof ImportBusy) throw busy(error)
        if (error instanceof TooLarge) throw tooLarge()
        throw new Refused(
          400,
          `The recording did not arrive whole: ${error instanceof Error ? error.message : String(error)}. Nothing of it was kept.`,
          'the body',
          'Send it again.',
        )
      }
    },
  })

  app.post('/api/recording/choices', {
    schema: {
      summary: 'Says how the recording is meant where it does not say so itself; it is read through again',
      body: z.strictObject({ id: z.number().int(), choices: recordingChoices }),
      response: { 200: recordingState },
    },
    handler: async request => {
      const { id, choices } = request.body
      return recordingAnswer(await job.choose(id, choices).catch(refusing(ImportBusy, busy)))
    },
  })

  app.post('/api/recording/imports/:id/take-back', {
    schema: {
      summary: 'Takes a whole import back: the readings it added go, nothing else does',
      params: z.object({ id: z.coerce.number().int() }),
      body: z.strictObject(signed),
      response: { 202: z.object({ readings: z.number().describe('that go') }) },
    },
    handler: async (request, reply) => {
      const { id } = request.params
      const which = (await importsOf(store, Number.POSITIVE_INFINITY)).find(each => each.id === id)
      if (!which) throw new Refused(404, 'There is no such import.', 'the address', 'See /api/recording/imports.')
      if (job.state().stage === 'importing') throw busy(new ImportBusy('A recording is being imported.'))
      const already = new Refused(409, 'It was taken back already.', 'the import', 'There is nothing left to do.')
      if (which.takenBack) throw already
      const why = await back.refuses(id, keptSince())
      if (why) throw new Refused(409, why, 'the import', 'What it added stays.')
      await back.begin(which, request.body).catch(refusing(ClosedAlready, () => already))
      request.log.info({ by: request.body.by, file: which.file, readings: which.left }, 'an import is taken back')
      return reply.code(202).send({ readings: which.left })
    },
  })

  app.post('/api/recording/import', {
    schema: {
      summary: 'Begins to import the recording that was looked through; ask for its state meanwhile',
      body: z.strictObject({ ...signed, id: z.number('the id of the recording that was looked at').int() }),
      response: { 202: recordingState },
    },
    handler: async (request, reply) => {
      const { id, by, note } = request.body
      const { state } = job
      const refusedNow = back.busy ? new ImportBusy('An import is being taken back.') : job.refuses(id)
      if (refusedNow) throw busy(refusedNow)
      const { name } = state()
      request.log.info({ by, note, name }, 'a recording is being imported')
      void job.begin(id, { by, note }).then(({ stage, outcome, problem, contents }) => {
        const level = stage === 'imported' ? 'info' : 'warn'
        app.log[level]({ by, name, stage, ...outcome, refused: contents?.faults.total, problem }, 'import ended')
      })
      return reply.code(202).send(recordingAnswer(state()))
    },
  })

  app.get('/api/recording/imports', {
    schema: {
      summary: 'Imports so far, newest first',
      querystring: z.object(formatQuery),
      response: { 200: jsonOrCsv(z.object({ imports: z.array(importFact) })) },
    },
    handler: async (request, reply) => {
      const imports = (await importsOf(store, mostImports)).map(({ end: _, ...each }) => each)
      if (request.query.format === 'json') return { imports }
      return sendTable(reply, imports, {
        ...begunColumns,
        endedUtc: i => isoTime(i.ended?.at),
        added: i => i.ended?.added,
        alreadyThere: i => i.ended?.alreadyThere,
        rowsRefused: i => i.ended?.rowsRefused,
        valuesRefused: i => i.ended?.valuesRefused,
        problem: i => i.ended?.problem,
        ...takenBackColumns,
      })
    },
  })

  app.delete('/api/recording', {
    schema: {
      summary: 'Stops an import (what it has stored stays), or forgets the recording',
      response: { 200: recordingState },
    },
    handler: async () => {
      job.discard()
      return recordingAnswer(job.state())
    },
  })
}
