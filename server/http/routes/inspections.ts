import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import type { Inspection } from '../../../core/inspection/index.js'
import { type Columns, isoTime } from '../../csv.js'
import { rejectOf, standingInspections } from '../../inspections/standing.js'
import type { AppParts } from '../parts.js'
import { featuresAnswer, inspectionsAnswer } from '../schemas/inspections.js'
import { jsonOrCsv } from '../schemas/json-or-csv.js'
import { formatQuery, spanQuery } from '../span.js'
import { sendTable } from '../table-out.js'

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

const columns: Columns<Inspection> = {
  id: each => each.id,
  part: each => each.part,
  serial: each => each.serial,
  machine: each => each.machine,
  feature: each => each.feature,
  axis: each => each.axis,
  'longer axis': each => each.longer,
  cut: each => each.cut,
  zeroed: each => each.zeroed,
  'nominal (m)': each => each.nominal,
  'lower limit (m)': each => each.lower,
  'upper limit (m)': each => each.upper,
  'measured (m)': each => each.measured,
  'time (UTC)': each => isoTime(each.from),
  end: each => isoTime(each.to),
  'temperature (°C)': each => each.temperature,
  'temperature uncertainty (K)': each => each.temperatureUncertainty,
  gauge: each => each.gauge,
  material: each => each.material,
  tool: each => each.tool,
  'tool count': each => each.toolCount,
  sequence: each => each.sequence,
  lot: each => each.lot,
  'set-up': each => each.setup,
  who: each => each.who,
  note: each => each.note,
}

/** The measured parts on record. */
export const inspectionsRoutes: FastifyPluginAsyncZod<AppParts> = async (app, { store }) => {
  const all = async (asked: Asked): Promise<Inspection[]> => {
    const found: Inspection[] = []
    for await (const together of standingInspections(store, askedOf(asked)))
      for (const each of together) found.push(each)
    return found
  }

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
      const found = await all(request.query)
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
  })
}
