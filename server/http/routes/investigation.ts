import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { type Change, investigationAnswer, whatIfAnswer } from '../../../core/investigation/index.js'
import { isoTime } from '../../csv.js'
import { investigationOf } from '../../studies/investigation/investigation.js'
import { whatIfOf } from '../../studies/investigation/what-if.js'
import { known } from '../known.js'
import type { AppParts } from '../parts.js'
import { fields, formatQuery, jsonOrCsv, sendTable } from '../table-out.js'
import { inspectionQuery, inspectionsAsked } from './inspections.js'

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

/** Was it heat: measured parts against what the temperatures of their time predict. */
export const investigationRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { store, shop, clock } = parts
  /** @throws Refused 404 */
  const classOf = (id: string | undefined): string | null =>
    id === undefined ? null : known('work class', shop.workClasses, id, 'query "workClass"').id

  app.get('/api/investigation', {
    config: { costs: 'computation' },
    schema: {
      summary: 'Was it heat: measured parts against what the temperatures of their time predict; as CSV part by part',
      querystring: z.object({ ...asked, ...formatQuery }),
      response: { 200: jsonOrCsv(investigationAnswer) },
    },
    handler: async (request, reply) => {
      const { workClass, moved, format } = request.query
      const isCsv = format === 'csv'
      const answer = await investigationOf(
        parts,
        await inspectionsAsked(store, request.query),
        { workClass: classOf(workClass), moved: moved * 1000 },
        clock(),
        isCsv,
      )
      if (!isCsv) return answer
      const groupOf = (part: (typeof answer.parts)[number]) => answer.groups[part.group]!
      return sendTable(reply, answer.parts, {
        inspection: p => p.inspection,
        part: p => groupOf(p).part,
        feature: p => groupOf(p).feature,
        machine: p => groupOf(p).machine,
        axis: p => groupOf(p).axis,
        serial: p => p.serial,
        fromUtc: p => isoTime(p.from),
        toUtc: p => isoTime(p.to),
        deviationMetres: p => p.deviation,
        deviationUncertaintyMetres: p => p.deviationUncertainty,
        reject: p => p.reject,
        predictedMetres: p => p.predicted?.error,
        sizeErrorMetres: p => p.predicted?.sizeError,
        driftMetres: p => p.predicted?.drift,
        tiltMetres: p => p.predicted?.tilt,
        predictedUncertaintyMetres: p => p.predicted?.uncertainty,
        notPredicted: p => p.missing,
        ...fields('verdict', 'tool', 'toolCount', 'lot', 'setup', 'who', 'note'),
      })
    },
  })

  app.get('/api/investigation/what-if', {
    config: { costs: 'computation' },
    schema: {
      summary: 'What the same parts would have been like; without a change, held at the reference temperature',
      querystring: z.object({
        ...asked,
        hold: z.coerce.number().min(-30).max(60).optional().describe('°C; machine and part held at it'),
        datum: z
          .string()
          .regex(/^([01]\d|2[0-3]):[0-5]\d$/, 'write a time of day as 12:30')
          .optional()
          .describe('HH:MM by the shop’s clock; zeroed again each day then'),
        on: z.string().max(200).optional().describe('id of another machine, on which they are cut'),
        later: z.coerce
          .number()
          .min(-48)
          .max(48)
          .optional()
          .describe('h; each part is cut so much later; below 0: earlier'),
      }),
      response: { 200: whatIfAnswer },
    },
    handler: async request => {
      const { hold, datum, on, later, workClass, moved } = request.query
      if (on !== undefined) known('machine', shop.machines, on, 'query "on"')
      const changes: Change[] = [
        ...(hold !== undefined ? [{ kind: 'held' as const, temperature: hold }] : []),
        ...(datum !== undefined ? [{ kind: 'datum again' as const, clock: datum }] : []),
        ...(on !== undefined ? [{ kind: 'machine' as const, machine: on }] : []),
        ...(later !== undefined ? [{ kind: 'hour' as const, offset: later * 3600 }] : []),
      ]
      const [first] = changes
      return whatIfOf(
        parts,
        await inspectionsAsked(store, request.query),
        first ? changes : [{ kind: 'held', temperature: shop.referenceTemperature }],
        { workClass: classOf(workClass), moved: moved * 1000 },
        clock(),
      )
    },
  })
}
