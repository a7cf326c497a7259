import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import type { AppParts } from '../parts.js'
import { writesNeedToken } from '../plugins/access.js'
import { refusals } from '../schemas/refusal.js'
import { shopSchema } from '../schemas/shop.js'

const answer = z.object({
  shop: shopSchema,
  version: z.string(),
  advice: z.string(),
  writesNeedToken: z.boolean().describe('true: every write must carry the bearer token'),
})

export const advice =
  "The service advises. It does not replace the machine builder's instructions, local codes or licensed practice, " +
  'and it must not be wired to start or stop a machine.'

export const shopRoutes: FastifyPluginAsyncZod<AppParts> = async (app, { shop, version, settings }) => {
  app.get(
    '/api/shop',
    { schema: { summary: 'The shop as its file describes it', response: { 200: answer, ...refusals } } },
    async () => ({ shop, version, advice, writesNeedToken: writesNeedToken(settings) }),
  )
}
