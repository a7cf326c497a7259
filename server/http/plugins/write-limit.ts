import rateLimit from '@fastify/rate-limit'
import type { FastifyInstance } from 'fastify'
import { Refused } from '../refused.js'
import { isWrite } from './access.js'

/** writes a minute from one address; people write a few a day */
export const writesPerMinute = 30

/** Reading is free, writing is slowed: a runaway script, or one that guesses the token, gets no further. */
export const writeLimit = async (app: FastifyInstance): Promise<void> => {
  await app.register(rateLimit, {
    max: writesPerMinute,
    timeWindow: 60_000,
    allowList: request => !isWrite(request),
    errorResponseBuilder: (_request, { ttl }) =>
      new Refused(
        429,
        `More than ${writesPerMinute} writes in a minute.`,
        'this address',
        `Wait ${Math.ceil(ttl / 1000)} s.`,
      ),
  })
}
