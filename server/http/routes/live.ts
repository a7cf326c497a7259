import type { OutgoingHttpHeaders } from 'node:http'
import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import type { Live } from '../live.js'
import { Refused } from '../refused.js'

const description = `Server-sent events. First \`state\` {shop, machines, sensors}, then \`machine\`, \`shop\` and \
\`sensors\` with what changed, \`anew\` when another shop file has taken effect (ask /api/shop; \`state\` follows), and \`beat\` {at} every 2 s. After a break, connect again: the whole state comes anew.`

export const liveRoutes: FastifyPluginAsyncZod<{ live: Live }> = async (app, { live }) => {
  app.get('/api/live', {
    exposeHeadRoute: false,
    schema: { summary: 'Changes as they happen', description, produces: ['text/event-stream'] },
    handler: (request, reply) => {
      if (live.full)
        throw new Refused(503, 'Too many pages listen already.', '/api/live', 'Close some pages, then try again.')
      reply.hijack()
      request.raw.socket.setNoDelay(true)
      reply.raw.writeHead(200, {
        // what the plugins have set so far, the security headers among it
        ...(reply.getHeaders() as OutgoingHttpHeaders),
        'content-type': 'text/event-stream; charset=utf-8',
        'cache-control': 'no-store, no-transform',
        // a proxy must pass events on as they come
        'x-accel-buffering': 'no',
      })
      live.join(reply.raw)
    },
  })

  // the server waits for every answer to end, and these do not end by themselves
  app.addHook('preClose', () => live.close())
}
