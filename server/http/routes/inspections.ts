import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import type { Inspection } from '../../../core/inspection/index.js'
import { type Columns, isoTime } from '../../csv.js'
import { rejectOf, standingInspections } from '../../inspections/standing.js'
import type { AppParts } from '../parts.js'
import { featuresAnswer, inspectionsAnswer } from '../schemas/inspections.js'
import { spanQuery } from '../span.js'
import { fields, formatQuery, jsonOrCsv, sendTable } from '../table-out.js'

const text = z.string().max(200).optional()

/** which inspections are asked for: all of these together */
export const inspectionQuery = {
  machine: text.describe('id'),
  part: text,
  feature: text,
  import: z.coerce.number().int().optional().describe('id of the import they came with'),
  ...spanQuery,
}
type Asked = z.infer<z.ZodObject<typeof inspectionQuery>>

/** The measured parts that are asked for and count, in order of their cut. */
export const inspectionsAsked = async (
  store: AppParts['store'],
  { machine, part, feature, import: imported, from, to }: Asked,
): Promise<Inspection[]> => {
  const found: Inspection[] = []
  for await (const together of standingInspections(store, { machine, part, feature, import: imported, from, to }))
    for (const each of together) found.push(each)
  return found
}

const columns: Columns<Inspection> = {
  ...fields('id', 'part', 'serial', 'machine', 'feature', 'axis'),
  'longer axis': each => each.longer,
  ...fields('cut', 'zeroed'),
  'nominal (m)': each => each.nominal,
  'lower limit (m)': each => each.lower,
  'upper limit (m)': each => each.upper,
  'measured (m)': each => each.measured,
  'time (UTC)': each => isoTime(each.from),
  end: each => isoTime(each.to),
  'temperature (°C)': each => each.temperature,
  'temperature uncertainty (K)': each => each.temperatureUncertainty,
  ...fields('gauge', 'material', 'tool'),
  'tool count': each => each.toolCount,
  ...fields('sequence', 'lot'),
  'set-up': each => each.setup,
  ...fields('who', 'note'),
}

/** The measured parts on record. */
export const inspectionsRoutes: FastifyPluginAsyncZod<AppParts> = async (app, { store }) => {
  app.get('/api/inspections', {
    config: { costs: 'computation' },
    schema: {
      summary: 'Measured parts on record, newest cut first; as CSV all of them, in the form in which they are imported',
      querystring: z.object({
        ...inspectionQuery,
        limit: z.coerce.number().int().min(1).max(2000).default(200),
        ...formatQuery,
      }),
      response: { 200: jsonOrCsv(inspectionsAnswer) },
    },
    handler: async (request, reply) => {
      const { limit, format } = request.query
      const found = await inspectionsAsked(store, request.query)
      if (format === 'csv') return sendTable(reply, found, columns)
      return { inspections: found.slice(-limit).reverse(), more: Math.max(0, found.length - limit) }
    },
  })

  app.get('/api/inspections/features', {
    config: { costs: 'computation' },
    schema: {
      summary: 'What there is to be investigated: features of parts by machine, how many were measured and rejected',
      querystring: z.object(inspectionQuery),
      response: { 200: featuresAnswer },
    },
    handler: async request => {
      const found = new Map<string, z.infer<typeof featuresAnswer>['features'][number]>()
      for (const each of await inspectionsAsked(store, request.query)) {
        const { machine, part, feature, axis, from, to } = each
        const key = `${machine}\n${part}\n${feature}`
        const before = found.get(key) ?? { machine, part, feature, axis, inspections: 0, rejects: 0, from, to }
        before.inspections += 1
        if (rejectOf(each)) before.rejects += 1
        before.to = Math.max(before.to, to)
        before.axis ??= axis
        found.set(key, before)
      }
      return { features: [...found.values()].sort((a, b) => b.to - a.to) }
    },
  })
}
