import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { isoTime } from '../../csv.js'
import { type AxisThen, growthOver, temperaturesOver, uncertaintyOf } from '../../history/index.js'
import { type SpindleThen, spindleThen } from '../../studies/spindle/spindle-past.js'
import { knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { growthAnswer, temperaturesAnswer } from '../schemas/answers.js'
import { day, pointsQuery, spanOf, spanQuery } from '../span.js'
import { fields, formatQuery, jsonOrCsv, sendTable } from '../table-out.js'

/** An axis with what the spindle added to it, where that is known. */
const withSpindle = (axis: AxisThen, spindle: SpindleThen | null): AxisThen =>
  spindle?.axis === axis.axis
    ? {
        ...axis,
        atZero: axis.atZero + spindle.added,
        atWork: axis.atWork + spindle.added,
        atTravel: axis.atTravel + spindle.added,
        uncertainty: Math.hypot(axis.uncertainty, spindle.standardUncertainty),
      }
    : axis

const asked = {
  params: machineParams,
  querystring: z.object({ ...spanQuery, ...pointsQuery, ...formatQuery }),
}

/** The history of a machine as it was believed then. */
export const growthRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  app.get('/api/machines/:id/growth', {
    config: { costs: 'computation' },
    schema: {
      summary: "Growth of a machine's axes over a span, as it was believed then",
      description: 'An axis has no point in an interval in which a node it depends on was not known.',
      ...asked,
      response: { 200: jsonOrCsv(growthAnswer) },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const span = spanOf(request.query, parts.clock(), day)
      const { rows, width } = await growthOver(parts, machine, span, request.query.points)
      const middles = rows.map(({ at }) => at + width / 2)
      const spindle = await spindleThen(parts, machine, middles)
      const axes = machine.axes.map(({ id }, i) => ({
        axis: id,
        points: rows.flatMap(({ at, axes: then }, row) => {
          const { atZero, atWork, atTravel, uncertainty, standIn } = withSpindle(then[i]!, spindle[row]!)
          const known = Number.isFinite(atZero + atWork + atTravel)
          return known ? { at, atZero, atWork, atTravel, uncertainty, ...(standIn && { standIn }) } : []
        }),
      }))
      if (request.query.format === 'json') return { axes }
      const lines = axes.flatMap(({ axis, points }) => points.map(point => ({ axis, ...point })))
      return sendTable(reply, lines, {
        ...fields('axis', 'at'),
        timeUtc: p => isoTime(p.at),
        atZeroMetres: p => p.atZero,
        atWorkMetres: p => p.atWork,
        atTravelMetres: p => p.atTravel,
        standardUncertaintyMetres: p => p.uncertainty,
        standIn: p => p.standIn ?? false,
      })
    },
  })

  app.get('/api/machines/:id/temperatures', {
    config: { costs: 'computation' },
    schema: {
      summary: "Temperatures of a machine's nodes over a span, as they were believed then",
      description: 'A node has no point in an interval in which nothing was believed of it.',
      ...asked,
      response: { 200: jsonOrCsv(temperaturesAnswer) },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const span = spanOf(request.query, parts.clock(), day)
      const { rows } = await temperaturesOver(parts, machine, span, request.query.points)
      const nodes = machine.nodes.map(({ id }, i) => ({
        node: id,
        points: rows.flatMap(({ at, nodes: then }) => {
          const node = then[i]
          if (!node) return []
          const { temperature, lowest, highest, from } = node
          const takenFrom = from === 'sensor' ? undefined : from
          return { at, temperature, lowest, highest, uncertainty: uncertaintyOf(node), ...(takenFrom && { takenFrom }) }
        }),
      }))
      if (request.query.format === 'json') return { nodes }
      const lines = nodes.flatMap(({ node, points }) => points.map(point => ({ node, ...point })))
      return sendTable(reply, lines, {
        ...fields('node', 'at'),
        timeUtc: p => isoTime(p.at),
        celsius: p => p.temperature,
        lowestCelsius: p => p.lowest,
        highestCelsius: p => p.highest,
        standardUncertaintyKelvin: p => p.uncertainty,
        takenFrom: p => p.takenFrom ?? 'sensor',
      })
    },
  })
}
