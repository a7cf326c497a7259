import rateLimit from '@fastify/rate-limit'
import type { FastifyInstance } from 'fastify'
import type { HttpSettings } from '../parts.js'
import { Refused } from '../refused.js'
import { isWrite, writeRefusal } from './access.js'

/** writes a minute from one address; people write a few a day */
export const writesPerMinute = 30

/**
 * Reading is free, writing is slowed, so that a runaway script gets no further. Those who may not write, or guess at the
 * token, are counted apart: they use up nobody's writes.
 */
export const writeLimit = async (app: FastifyInstance, settings: HttpSettings): Promise<void> => {
  await app.register(rateLimit, {
    max: writesPerMinute,
    timeWindow: 60_000,
    allowList: request => !isWrite(request),
    keyGenerator: request => `${writeRefusal(request, settings) ? 'refused' : 'taken'} ${request.ip}`,
    errorResponseBuilder: (_request, { ttl }) =>
      new Refused(
        429,
        `More than ${writesPerMinute} writes in a minute.`,
        'this address',
        `Wait ${Math.ceil(ttl / 1000)} s.`,
      ),
  })
}
