import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import type { Inspection } from '../../../core/inspection/index.js'
import { investigationAnswer } from '../../../core/investigation/index.js'
import { csv, isoTime } from '../../csv.js'
import { standingInspections } from '../../inspections/standing.js'
import { investigationOf } from '../../studies/investigation/investigation.js'
import type { AppParts } from '../parts.js'
import { notKnown } from '../refused.js'
import { jsonOrCsv } from '../schemas/json-or-csv.js'
import { refusals } from '../schemas/refusal.js'
import { formatQuery } from '../span.js'
import { askedOf, inspectionQuery } from './inspections.js'

const asked = {
  ...inspectionQuery,
  workClass: z.string().max(200).optional().describe('id; the one that comes nearest to each feature if not given'),
  moved: z.coerce
    .number()
    .int()
    .min(-86_400)
    .max(86_400)
    .default(0)
    .describe('s; the cuts were so much later than written, as when a clock was not put forward'),
}

const columns = [
  'inspection',
  'part',
  'feature',
  'machine',
  'axis',
  'serial',
  'fromUtc',
  'toUtc',
  'deviationMetres',
  'deviationUncertaintyMetres',
  'reject',
  'predictedMetres',
  'sizeErrorMetres',
  'driftMetres',
  'tiltMetres',
  'predictedUncertaintyMetres',
  'notPredicted',
  'verdict',
  'tool',
  'toolCount',
  'lot',
  'setup',
  'who',
  'note',
]

/** Was it heat: measured parts against what the temperatures of their time predict. */
export const investigationRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { store, shop, clock } = parts
  const inspectionsOf = async (query: Parameters<typeof askedOf>[0]): Promise<Inspection[]> => {
    const found: Inspection[] = []
    for await (const together of standingInspections(store, askedOf(query)))
      for (const each of together) found.push(each)
    return found
  }
  /** @throws Refused 404 */
  const classOf = (id: string | undefined): string | null => {
    if (id === undefined || shop.workClasses.some(each => each.id === id)) return id ?? null
    throw notKnown(
      'work class',
      [id],
      shop.workClasses.map(each => each.id),
      'query "workClass"',
    )
  }

  app.get(
    '/api/investigation',
    {
      config: { costs: 'computation' },
      schema: {
        summary: 'Was it heat: measured parts against what the temperatures of their time predict; as CSV part by part',
        querystring: z.object({ ...asked, ...formatQuery }),
        response: { 200: jsonOrCsv(investigationAnswer), ...refusals },
      },
    },
    async (request, reply) => {
      const { workClass, moved, format } = request.query
      const isCsv = format === 'csv'
      const answer = await investigationOf(
        parts,
        await inspectionsOf(request.query),
        { workClass: classOf(workClass), moved: moved * 1000 },
        clock(),
        isCsv,
      )
      if (!isCsv) return answer
      const rows = answer.parts.map(part => {
        const { part: name, feature, machine, axis } = answer.groups[part.group]!
        return [
          part.inspection,
          name,
          feature,
          machine,
          axis,
          part.serial,
          isoTime(part.from),
          isoTime(part.to),
          part.deviation,
          part.deviationUncertainty,
          part.reject,
          part.predicted?.error ?? null,
          part.predicted?.sizeError ?? null,
          part.predicted?.drift ?? null,
          part.predicted?.tilt ?? null,
          part.predicted?.uncertainty ?? null,
          part.missing,
          part.verdict,
          part.tool,
          part.toolCount,
          part.lot,
          part.setup,
          part.who,
          part.note,
        ]
      })
      return reply.type('text/csv; charset=utf-8').send(csv(columns, rows))
    },
  )
}
