import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { nightStudy } from '../../studies/morning/night.js'
import type { AppParts } from '../parts.js'
import { nightAnswer } from '../schemas/night.js'

export const nightRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  app.get('/api/morning/night', {
    config: { costs: 'computation' },
    schema: {
      summary: 'The night from the last shift’s end to now, as it was believed, beside the nights of the same kind',
      response: { 200: nightAnswer },
    },
    handler: async () => nightStudy(parts, parts.clock()),
  })
}
