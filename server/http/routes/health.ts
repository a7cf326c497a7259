import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import type { Shop } from '../../../core/shop.js'
import type { ShopState } from '../../../core/state.js'
import type { AppParts } from '../parts.js'

const health = z.object({
  status: z.enum(['well', 'unwell']),
  reasons: z.array(z.string()).describe('why not well'),
  broker: z.enum(['connected', 'away']),
  unstored: z.string().nullable().describe('why readings cannot be stored, and what to do'),
  newestReading: z.number().nullable().describe('ms since 1970 UTC'),
  filling: z.number().nullable(),
  version: z.string(),
})

/** ms without a reading of any sensor after which the service is not well: two report intervals, at least a minute */
export const silenceBound = (shop: Shop): number => {
  const intervals = shop.sensors.map(s => s.interval).sort((a, b) => a - b)
  const middle = intervals[Math.floor(intervals.length / 2)] ?? 0
  return Math.max(60_000, 2000 * middle)
}

/** @returns what keeps the service from doing its work, in words; nothing when all is well */
export const unwell = (
  { broker, unstored, troubles, newestReading }: Pick<ShopState, 'broker' | 'unstored' | 'troubles' | 'newestReading'>,
  now: number,
  silence: number,
): string[] => {
  const reasons: string[] = [...troubles]
  if (unstored !== null) reasons.push(unstored)
  // a connection is broken off so that the broker sends again what could not be stored
  else if (broker === 'away') reasons.push('The broker is away: no reading can arrive.')
  if (newestReading === null) reasons.push('No reading has arrived yet.')
  else if (now - newestReading > silence)
    reasons.push(`No sensor has reported for ${Math.round((now - newestReading) / 1000)} s.`)
  return reasons
}

export const healthRoutes: FastifyPluginAsyncZod<AppParts> = async (app, { shop, monitor, clock, version }) => {
  app.get('/healthz', {
    schema: { summary: 'Whether readings arrive', response: { 200: health, 503: health } },
    handler: async (_request, reply) => {
      const state = monitor.shop()
      const reasons = unwell(state, clock(), silenceBound(shop))
      return reply.code(reasons.length === 0 ? 200 : 503).send({
        status: reasons.length === 0 ? 'well' : 'unwell',
        reasons,
        broker: state.broker,
        unstored: state.unstored,
        newestReading: state.newestReading,
        filling: state.filling,
        version,
      })
    },
  })
}
