import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import type { AppParts } from '../parts.js'
import { writesNeedToken } from '../plugins/access.js'
import { shopAnswer } from '../schemas/answers.js'

const advice =
  "The service advises. It does not replace the machine builder's instructions, local codes or licensed practice, " +
  'and it must not be wired to start or stop a machine.'

export const shopRoutes: FastifyPluginAsyncZod<AppParts> = async (app, { shop, version, settings }) => {
  app.get('/api/shop', {
    schema: { summary: 'The shop as its file describes it', response: { 200: shopAnswer } },
    handler: async () => ({ shop, version, advice, writesNeedToken: writesNeedToken(settings) }),
  })
}
