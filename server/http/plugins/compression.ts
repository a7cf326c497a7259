import { PassThrough, pipeline, Readable } from 'node:stream'
import { promisify } from 'node:util'
import { createGzip, gzip } from 'node:zlib'
import type { FastifyInstance } from 'fastify'

/** bytes; what fits into one packet of the network comes no sooner for being smaller */
const worthwhile = 1400
const compressible = /^(application\/(json|openmetrics-text)|text\/(csv|plain))\b/
/** quick: twice as quick as zlib's own choice, for a few percent more */
const options = { level: 4 }
const zipped = promisify(gzip)

/** @see RFC 9110, 12.5.3: "gzip;q=0" refuses it, "*" takes anything */
export const takesGzip = (accepted: string | undefined): boolean => {
  const quality = new Map(
    (accepted ?? '')
      .toLowerCase()
      .split(',')
      .map(each => {
        const [name = '', q = ''] = each.split(';').map(part => part.trim())
        return [name, q.startsWith('q=') ? Number(q.slice(2)) : 1]
      }),
  )
  return (quality.get('gzip') ?? quality.get('*') ?? 0) > 0
}

/**
 * Answers of JSON, CSV and metrics travel as gzip, which every browser takes on plain http; zlib works beside the event
 * loop. Pages are compressed when they are built, and the live stream is taken over before it comes here.
 */
export const compression = (app: FastifyInstance): void => {
  app.addHook('onSend', async (request, reply, payload: unknown) => {
    if (request.method === 'HEAD' || reply.hasHeader('content-encoding')) return payload
    if (!compressible.test(String(reply.getHeader('content-type')))) return payload
    const text = typeof payload === 'string' || Buffer.isBuffer(payload)
    if (!text && !(payload instanceof Readable)) return payload
    if (text && Buffer.byteLength(payload) < worthwhile) return payload
    reply.header('vary', 'accept-encoding')
    if (!takesGzip(request.headers['accept-encoding'])) return payload
    reply.header('content-encoding', 'gzip').removeHeader('content-length')
    if (text) return zipped(payload, options)
    // an answer that breaks off does so for its reader, too: it does not look as if it had come to its end
    return pipeline(payload, createGzip(options), new PassThrough(), () => undefined)
  })
}
