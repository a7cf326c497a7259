import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { morningCheck } from '../../../core/morning/index.js'
import { morningCheckOf } from '../../studies/morning/check.js'
import type { AppParts } from '../parts.js'
import { refusals } from '../schemas/refusal.js'

export const morningRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  app.get(
    '/api/morning',
    {
      schema: {
        summary:
          'The morning check: what to do first, the day’s jobs with an answer each, the machines, the night, what is not believed',
        response: { 200: morningCheck, ...refusals },
      },
    },
    async () => morningCheckOf(parts),
  )
}
