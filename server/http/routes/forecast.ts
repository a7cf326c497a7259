import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import type { Machine } from '../../../core/shop.js'
import type { SourcesAhead } from '../../../core/shop-model/index.js'
import { type Forecast, forecast } from '../../../core/state.js'
import { csv, isoTime } from '../../csv.js'
import { type PlannedChange, sourcesAheadOf } from '../../studies/shop-model/ahead.js'
import { inTurns } from '../../turns.js'
import { knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { planForm, readPlan } from '../plan.js'
import { askedBeside } from '../plugins/costly.js'
import { Refused } from '../refused.js'
import { formatQuery, jsonOrCsv, sendCsv } from '../table-out.js'

const query = z.object({
  hours: z.coerce.number().min(1).max(72).default(24).describe('how far ahead, up to 72'),
  points: z.coerce.number().int().min(10).max(500).default(150),
  plan: z
    .string()
    .max(1000)
    .default('')
    .describe(
      `${planForm}. Or of the air at the machine: moment, °C, and if wanted the seconds it takes, as in 1764651600000,20.5,1800`,
    ),
  ...formatQuery,
})

const columns = ['what', 'name', 'at', 'timeUtc', 'mean', 'standardUncertainty', 'unit']
const rows = ({ times, nodes, axes }: Forecast) => [
  ...nodes.flatMap(({ node, mean, standardUncertainty }) =>
    times.map((at, i) => ['temperature', node, at, isoTime(at), mean[i]!, standardUncertainty[i]!, 'Celsius']),
  ),
  ...axes.flatMap(({ axis, mean, standardUncertainty }) =>
    times.map((at, i) => ['growth', axis, at, isoTime(at), mean[i]!, standardUncertainty[i]!, 'm']),
  ),
]

export const forecastRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { monitor, clock } = parts
  app.get('/api/machines/:id/forecast', {
    schema: {
      summary: 'Temperatures, growth and ready times ahead, if conditions hold or under a plan',
      description:
        'If conditions hold: doors, vents and heat sources go on as they usually do from here. A plan for sources is followed by the learned ' +
        'model of the shop (`/sources-ahead`), one for the air as it says.',
      params: machineParams,
      querystring: query,
      response: { 200: jsonOrCsv(forecast) },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const { hours, points, format } = request.query
      const { air, sources } = readPlan(request.query.plan, parts.shop, clock())
      const changed = sources.length > 0 ? await changedBy(parts, machine, request.query.plan, sources) : undefined
      const found = await made(machine.id, () => monitor.forecasting(machine.id, air, hours * 3600, points, changed))
      if (format === 'csv') return sendCsv(reply, csv(columns, rows(found)))
      return found
    },
  })
}

/** What a plan for sources does to the air at a machine. @throws Refused where that cannot be told */
const changedBy = async (
  parts: AppParts,
  machine: Machine,
  text: string,
  plan: readonly PlannedChange[],
): Promise<SourcesAhead> => {
  const url = `/api/machines/${machine.id}/sources-ahead?plan=${encodeURIComponent(text)}`
  const found = await askedBeside(parts, url, () => sourcesAheadOf(parts, machine, plan, parts.clock()))
  const why = found.cannotBeTold ?? cannotFollow(found, plan)
  if (why === null) return found
  throw new Refused(409, `This plan cannot be followed: ${why}`, 'plan', 'Leave that out, or say what the air goes to.')
}

const cannotFollow = ({ sources }: SourcesAhead, plan: readonly PlannedChange[]): string | null => {
  const bad = sources.find(({ source, cannotBeTold }) => cannotBeTold && plan.some(each => each.source === source))
  return bad ? `${bad.name || 'the heating'}. ${bad.cannotBeTold}` : null
}

const made = async (machine: string, forecasting: () => Generator<void, Forecast>): Promise<Forecast> => {
  try {
    return await inTurns(forecasting())
  } catch (error) {
    throw new Refused(
      409,
      `No forecast: ${error instanceof Error ? error.message : String(error)}`,
      `machine "${machine}"`,
      'A forecast needs the temperature of every required node: look at the sensors, then try again.',
    )
  }
}
