import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import type { AppParts } from '../parts.js'
import { storeAnswer } from '../schemas/answers.js'

/** entries of damage in one answer; the newest */
const most = 200

export const storeRoutes: FastifyPluginAsyncZod<AppParts> = async (app, { storeNotes }) => {
  app.get('/api/store', {
    schema: {
      summary: 'What is damaged in the database, and what is stored under ids that the shop file does not know',
      response: { 200: storeAnswer },
    },
    handler: async () => {
      const { damaged, unclaimed } = storeNotes()
      return { damaged: damaged.slice(0, most), moreDamaged: Math.max(0, damaged.length - most), unclaimed }
    },
  })
}
