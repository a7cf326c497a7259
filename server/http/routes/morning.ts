import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { morningCheck } from '../../../core/morning/index.js'
import { morningCheckOf } from '../../studies/morning/check.js'
import { morningText } from '../../studies/morning/text.js'
import { readerOf } from '../in-words.js'
import type { AppParts } from '../parts.js'
import { unitsQuery } from '../span.js'

const plain = 'text/plain; charset=utf-8'

/** ms; a text is read once: it waits for a night that is being computed */
const ofText = 20_000

export const morningRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { shop, monitor, clock } = parts
  const asText = async (asked: Parameters<typeof readerOf>[1]) =>
    morningText(await morningCheckOf(parts, ofText), shop, monitor.sensors(), readerOf(shop, asked, clock()))

  app.get('/api/morning', {
    schema: {
      summary:
        'The morning check: what to do first, the day’s jobs with an answer each, the machines, the night, what is not believed',
      querystring: z.object({
        ...unitsQuery,
        format: z
          .enum(['json', 'text'])
          .optional()
          .describe('text: as /api/morning.txt; also where "Accept: text/plain" is sent. JSON if not given'),
      }),
      response: {
        200: {
          description: 'the check',
          content: {
            'application/json': { schema: morningCheck },
            'text/plain': { schema: z.string() },
          },
        },
      },
    },
    handler: async (request, reply) => {
      const { format, ...asked } = request.query
      const wantsText = format ?? (/^\s*text\/plain\b/i.test(request.headers.accept ?? '') ? 'text' : 'json')
      return wantsText === 'text' ? reply.type(plain).send(await asText(asked)) : morningCheckOf(parts)
    },
  })

  app.get('/api/morning.txt', {
    schema: {
      summary: 'The morning check as plain text, one sheet of at most 80 columns',
      querystring: z.object(unitsQuery),
      response: { 200: { description: 'the check', content: { 'text/plain': { schema: z.string() } } } },
    },
    handler: async (request, reply) => reply.type(plain).send(await asText(request.query)),
  })
}
