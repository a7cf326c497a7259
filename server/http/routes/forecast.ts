import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import type { PlannedAir } from '../../../core/judge/index.js'
import { type Forecast, forecast } from '../../../core/state.js'
import { csv, isoTime } from '../../csv.js'
import { inTurns } from '../../turns.js'
import { knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { Refused } from '../refused.js'
import { jsonOrCsv } from '../schemas/json-or-csv.js'
import { formatQuery } from '../span.js'
import { sendCsv } from '../table-out.js'

/** s; how quickly the air follows a plan that does not say */
const usualPace = 1800
const most = 20

const query = z.object({
  hours: z.coerce.number().min(1).max(72).default(24).describe('how far ahead, up to 72'),
  points: z.coerce.number().int().min(10).max(500).default(150),
  plan: z
    .string()
    .max(1000)
    .default('')
    .describe(
      'changes of the air at the machine, separated by ";": moment in ms since 1970, °C, and if wanted the seconds it takes, as in 1764651600000,20.5,1800',
    ),
  ...formatQuery,
})

/** @throws Refused when a change cannot be read or lies in the past */
const readPlan = (text: string, now: number): PlannedAir[] => {
  const changes = text.split(';').filter(part => part.trim() !== '')
  if (changes.length > most)
    throw new Refused(400, `The plan has ${changes.length} changes.`, 'plan', `Give at most ${most}.`)
  return changes.map((change, i) => {
    const numbers = change.split(',').map(Number)
    const [moment, temperature, timeConstant = usualPace] = numbers
    const readable = numbers.length >= 2 && numbers.length <= 3 && numbers.every(Number.isFinite)
    if (!readable || temperature! < -45 || temperature! > 60 || timeConstant < 0 || timeConstant > 172_800)
      throw new Refused(
        400,
        `Change ${i + 1} of the plan, "${change.trim()}", cannot be read.`,
        'plan',
        'Write moment (ms since 1970), °C from -45 to 60, and if wanted seconds, separated by commas.',
      )
    return { at: Math.max(0, (moment! - now) / 1000), temperature: temperature!, timeConstant }
  })
}

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
      summary: 'Temperatures, growth and ready times ahead, if conditions hold or under a plan for the air',
      params: machineParams,
      querystring: query,
      response: { 200: jsonOrCsv(forecast) },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const { hours, points, format } = request.query
      const plan = readPlan(request.query.plan, clock())
      const found = await made(machine.id, () => monitor.forecasting(machine.id, plan, hours * 3600, points))
      if (format === 'csv') return sendCsv(reply, csv(columns, rows(found)))
      return found
    },
  })
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
