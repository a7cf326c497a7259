import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { csv, isoTime } from '../../csv.js'
import { growthSeries } from '../../history/growth-series.js'
import { knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { growthAnswer } from '../schemas/answers.js'
import { jsonOrCsv } from '../schemas/json-or-csv.js'
import { refusals } from '../schemas/refusal.js'
import { day, formatQuery, pointsQuery, spanOf, spanQuery } from '../span.js'

const columns = ['axis', 'at', 'timeUtc', 'atZeroMetres', 'atWorkMetres', 'atTravelMetres']

export const growthRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { shop, store, clock, growthOf } = parts
  app.get(
    '/api/machines/:id/growth',
    {
      config: { costs: 'computation' },
      schema: {
        summary: "Growth of a machine's axes over a span, computed from its stored readings",
        description: 'An axis has no point in an interval in which a node it depends on has no reading.',
        params: machineParams,
        querystring: z.object({ ...spanQuery, ...pointsQuery, ...formatQuery }),
        response: { 200: jsonOrCsv(growthAnswer), ...refusals },
      },
    },
    async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const span = spanOf(request.query, clock(), day)
      const axes = growthSeries(machine, shop.sensors, store, growthOf, span, request.query.points)
      if (request.query.format === 'json') return { axes }
      const rows = axes.flatMap(({ axis, points }) =>
        points.map(p => [axis, p.at, isoTime(p.at), p.atZero, p.atWork, p.atTravel]),
      )
      return reply.type('text/csv; charset=utf-8').send(csv(columns, rows))
    },
  )
}
