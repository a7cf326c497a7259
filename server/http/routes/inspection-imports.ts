import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { type InspectionChoices, inspectionChoices, inspectionUse } from '../../../core/inspection/index.js'
import { inspectionRecorder } from '../../inspections/importing.js'
import { readOne } from '../../inspections/read-one.js'
import { largestTable, readInspections } from '../../inspections/read-table.js'
import { inspectionImports } from '../../inspections/standing.js'
import { ClosedAlready } from '../../store/facts.js'
import type { AppParts } from '../parts.js'
import { Refused, refusing } from '../refused.js'
import { type InspectionImport, importedAnswer, importsAnswer, inspectionPreview } from '../schemas/inspections.js'
import { signed } from '../schemas/measured.js'
import { refuseFaults } from '../table-in.js'
import { begunColumns, fields, formatQuery, jsonOrCsv, sendTable, takenBackColumns } from '../table-out.js'

/** rows told of in the answer to an import; the preview has them all as CSV */
const shownFaults = 200

const choicesQuery = {
  choices: z
    .string()
    .max(20_000)
    .optional()
    .describe(
      'how the table is meant where it does not say so itself, as JSON (InspectionChoices); as it was said of the last ' +
        'table with the same headings if not given',
    ),
}
const importQuery = {
  ...choicesQuery,
  ...signed,
  file: z.string().trim().max(200).default('').describe('its name, to be shown'),
}

/** @throws Refused when they are none */
const choicesIn = (text: string | undefined): InspectionChoices | null => {
  if (text === undefined) return null
  const wrong = (what: string) =>
    new Refused(400, what, 'query "choices"', 'Send the choices as the preview gives them, as JSON.')
  let said: unknown
  try {
    said = JSON.parse(text)
  } catch {
    throw wrong('The choices are no JSON.')
  }
  const read = inspectionChoices.safeParse(said)
  if (read.success) return read.data
  const [issue] = read.error.issues
  throw wrong(`The choices cannot be read: ${issue?.path.join('.')}: ${issue?.message}.`)
}

/** @throws Refused when the body is no table */
const bytesOf = (body: unknown): Uint8Array => {
  if (body instanceof Uint8Array) return body
  throw new Refused(
    415,
    'The body is no table.',
    'header "Content-Type"',
    'Send the CSV file itself as the body, with "Content-Type: text/csv".',
  )
}

/** Putting measured parts on record, and taking an import back. */
export const inspectionImportsRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { shop, store, clock } = parts
  const recorder = inspectionRecorder(store, clock)
  // only in the routes of this file
  app.addContentTypeParser('text/csv', { parseAs: 'buffer', bodyLimit: largestTable }, (_request, body, done) =>
    done(null, body),
  )
  const read = (body: unknown, choices: InspectionChoices | null) =>
    readInspections(bytesOf(body), choices, { shop, store, now: clock() })
  const importOf = async (id: number): Promise<InspectionImport> => {
    const { end: _, ...found } = (await inspectionImports(store)).find(each => each.id === id)!
    return found
  }

  app.post('/api/inspections/preview', {
    bodyLimit: largestTable,
    schema: {
      summary: 'What is in a table of measured parts (the body, text/csv) and what is wrong with it; stores nothing',
      querystring: z.object({ ...choicesQuery, ...formatQuery }),
      response: { 200: jsonOrCsv(inspectionPreview) },
    },
    handler: async (request, reply) => {
      const { preview, faults } = await read(request.body, choicesIn(request.query.choices))
      if (request.query.format === 'json') return preview
      return sendTable(reply, faults, {
        ...fields('line', 'column', 'problem', 'remedy'),
      })
    },
  })

  app.post('/api/inspections/import', {
    bodyLimit: largestTable,
    schema: {
      summary: 'Takes the good rows of a table of measured parts (the body, text/csv); the others are told of',
      querystring: z.object(importQuery),
      response: { 201: importedAnswer },
    },
    handler: async (request, reply) => {
      const { by, note, file } = request.query
      const choices = choicesIn(request.query.choices)
      const { body } = request
      const { id, faults, table } = await recorder.take(() => read(body, choices), file, { by, note }, choices)
      if (id !== null) {
        const { added } = (await importOf(id)).ended!
        request.log.info({ by, file, import: id, added, refused: table.preview.refused }, 'inspections were imported')
        return reply.code(201).send({ import: await importOf(id), refused: faults.slice(0, shownFaults) })
      }
      refuseFaults(faults, 'the table')
      const { missing, alreadyThere } = table.preview
      if (missing.length > 0)
        throw new Refused(
          400,
          `The table does not say: ${missing.join(', ')}.`,
          'the table',
          'Say in the choices which column it is, or what holds for every row. Nothing was stored.',
        )
      throw new Refused(
        409,
        `All ${alreadyThere} rows are on record already.`,
        'the table',
        'There is nothing left to do.',
      )
    },
  })

  app.post('/api/inspections', {
    schema: {
      summary: 'Puts one measured part on record, as people write it',
      body: z.strictObject({
        ...signed,
        one: z.partialRecord(inspectionUse, z.string().max(500)).describe('cells by what they are'),
      }),
      response: { 201: importedAnswer },
    },
    handler: async (request, reply) => {
      const { by, note, one } = request.body
      const { id, faults } = await recorder.take(
        () => readOne(one, { shop, store, now: clock() }),
        '',
        { by, note },
        null,
      )
      refuseFaults(faults, faults[0]?.column ? `body "one", ${faults[0].column}` : 'body "one"')
      if (id === null) throw new Refused(409, 'It is on record already.', 'body "one"', 'There is nothing left to do.')
      request.log.info({ by, import: id }, 'an inspection was entered')
      return reply.code(201).send({ import: await importOf(id), refused: [] })
    },
  })

  app.get('/api/inspections/imports', {
    schema: {
      summary: 'Imports of measured parts so far, and those entered by hand, newest first',
      querystring: z.object({ limit: z.coerce.number().int().min(1).max(2000).default(500), ...formatQuery }),
      response: { 200: jsonOrCsv(importsAnswer) },
    },
    handler: async (request, reply) => {
      const { limit, format } = request.query
      const imports = (await inspectionImports(store))
        .slice(-limit)
        .reverse()
        .map(({ end: _, ...each }) => each)
      if (format === 'json') return { imports }
      return sendTable(reply, imports, {
        ...begunColumns,
        added: i => i.ended?.added,
        alreadyThere: i => i.ended?.alreadyThere,
        refused: i => i.ended?.refused,
        ...takenBackColumns,
      })
    },
  })

  app.post('/api/inspections/imports/:id/take-back', {
    schema: {
      summary: 'Takes an import of measured parts back as a whole: they no longer count, and stay on record',
      params: z.object({ id: z.coerce.number().int() }),
      body: z.strictObject(signed),
      response: { 200: z.object({ import: importsAnswer.shape.imports.element }) },
    },
    handler: async request => {
      const { id } = request.params
      const found = (await inspectionImports(store)).find(each => each.id === id)
      if (!found) throw new Refused(404, 'There is no such import.', 'the address', 'See /api/inspections/imports.')
      const already = new Refused(409, 'It was taken back already.', 'the import', 'There is nothing left to do.')
      if (found.takenBack) throw already
      await recorder.takeBack(found, request.body).catch(refusing(ClosedAlready, () => already))
      request.log.info({ by: request.body.by, import: id }, 'an import of inspections was taken back')
      return { import: await importOf(id) }
    },
  })
}
