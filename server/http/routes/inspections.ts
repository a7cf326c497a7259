import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import type { Inspection } from '../../../core/inspection/index.js'
import { csv, isoTime } from '../../csv.js'
import { rejectOf, standingInspections } from '../../inspections/standing.js'
import type { AppParts } from '../parts.js'
import { featuresAnswer, inspectionsAnswer } from '../schemas/inspections.js'
import { jsonOrCsv } from '../schemas/json-or-csv.js'
import { refusals } from '../schemas/refusal.js'
import { formatQuery, spanQuery } from '../span.js'

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

/** without what is not said */
export const askedOf = ({ machine, part, feature, import: imported, from, to }: Asked) => ({
  ...(machine !== undefined && { machine }),
  ...(part !== undefined && { part }),
  ...(feature !== undefined && { feature }),
  ...(imported !== undefined && { import: imported }),
  ...(from !== undefined && { from }),
  ...(to !== undefined && { to }),
})

const columns = [
  'id',
  'part',
  'serial',
  'machine',
  'feature',
  'axis',
  'longer axis',
  'cut',
  'zeroed',
  'nominal (m)',
  'lower limit (m)',
  'upper limit (m)',
  'measured (m)',
  'time (UTC)',
  'end',
  'temperature (°C)',
  'temperature uncertainty (K)',
  'gauge',
  'material',
  'tool',
  'tool count',
  'sequence',
  'lot',
  'set-up',
  'who',
  'note',
]

const rowOf = (each: Inspection) => [
  each.id,
  each.part,
  each.serial,
  each.machine,
  each.feature,
  each.axis,
  each.longer,
  each.cut,
  each.zeroed,
  each.nominal,
  each.lower,
  each.upper,
  each.measured,
  isoTime(each.from),
  isoTime(each.to),
  each.temperature,
  each.temperatureUncertainty,
  each.gauge,
  each.material,
  each.tool,
  each.toolCount,
  each.sequence,
  each.lot,
  each.setup,
  each.who,
  each.note,
]

/** The measured parts on record. */
export const inspectionsRoutes: FastifyPluginAsyncZod<AppParts> = async (app, { store }) => {
  const all = async (asked: Asked): Promise<Inspection[]> => {
    const found: Inspection[] = []
    for await (const together of standingInspections(store, askedOf(asked)))
      for (const each of together) found.push(each)
    return found
  }

  app.get(
    '/api/inspections',
    {
      config: { costs: 'computation' },
      schema: {
        summary:
          'Measured parts on record, newest cut first; as CSV all of them, in the form in which they are imported',
        querystring: z.object({
          ...inspectionQuery,
          limit: z.coerce.number().int().min(1).max(2000).default(200),
          ...formatQuery,
        }),
        response: { 200: jsonOrCsv(inspectionsAnswer), ...refusals },
      },
    },
    async (request, reply) => {
      const { limit, format } = request.query
      const found = await all(request.query)
      if (format === 'csv') return reply.type('text/csv; charset=utf-8').send(csv(columns, found.map(rowOf)))
      return { inspections: found.slice(-limit).reverse(), more: Math.max(0, found.length - limit) }
    },
  )

  app.get(
    '/api/inspections/features',
    {
      config: { costs: 'computation' },
      schema: {
        summary: 'What there is to be investigated: features of parts by machine, how many were measured and rejected',
        querystring: z.object(inspectionQuery),
        response: { 200: featuresAnswer, ...refusals },
      },
    },
    async request => {
      const found = new Map<string, z.infer<typeof featuresAnswer>['features'][number]>()
      for (const each of await all(request.query)) {
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
  )
}
