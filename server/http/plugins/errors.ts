import { createReadStream, existsSync } from 'node:fs'
import { STATUS_CODES } from 'node:http'
import type { Socket } from 'node:net'
import { join } from 'node:path'
import type { FastifyError, FastifyInstance, FastifyReply, FastifyRequest } from 'fastify'
import { hasZodFastifySchemaValidationErrors } from 'fastify-type-provider-zod'
import { storeTrouble } from '../../store/trouble.js'
import { Refused } from '../refused.js'
import type { Refusal } from '../schemas/refusal.js'

/** a person who mistyped an address, not a program that asks the interface */
const wantsPage = ({ method, url, headers }: FastifyRequest): boolean =>
  method === 'GET' && !url.startsWith('/api/') && (headers.accept ?? '').includes('text/html')

/**
 * Every failure answers alike: what is wrong, where, and what would be right.
 *
 * @param pages folder of the built pages: a browser that asks for what is not there gets the page that says so
 */
export const errors = (app: FastifyInstance, pages: string): void => {
  app.setErrorHandler((error: FastifyError | Refused, request, reply) => {
    const refused = refusedFor(error, request)
    // what is refused with words of our own, because others are served or the service stops, has not failed
    if (refused.statusCode >= 500 && refused !== error)
      request.log.error({ err: error, method: request.method, url: request.url }, 'a request failed')
    // half an answer is on its way, or its reader has gone: it can only be broken off
    if (reply.raw.headersSent) {
      reply.hijack()
      reply.raw.destroy()
      return
    }
    if (refused.statusCode === 401) reply.header('www-authenticate', 'Bearer')
    send(reply, refused)
  })
  app.setNotFoundHandler((request, reply) => {
    const page = join(pages, 'index.html')
    if (wantsPage(request) && existsSync(page))
      return reply.code(404).header('cache-control', 'no-cache').type('text/html').send(createReadStream(page))
    const what = `There is nothing at ${request.method} ${request.url.slice(0, 200)}.`
    const remedy = 'The pages begin at /, the interface is described at /api/openapi.json.'
    return send(reply, new Refused(404, what, 'the address', remedy))
  })
}

/** An address that leads to no route because of its very form. */
export const badAddress = (error: FastifyError, _request: unknown, reply: FastifyReply): void => {
  const isLong = error.code === 'FST_ERR_MAX_PARAM_LENGTH'
  const what = isLong ? 'A name in the address is too long.' : 'The address is not well formed.'
  const remedy = 'The interface is described at /api/openapi.json.'
  send(reply, new Refused(error.statusCode ?? 400, what, 'the address', remedy))
}

const notHttp: Record<string, { status: number; what: string; remedy: string }> = {
  HPE_HEADER_OVERFLOW: { status: 431, what: 'The headers are too long.', remedy: 'Send less than 16 kB of headers.' },
  ERR_HTTP_REQUEST_TIMEOUT: { status: 408, what: 'The request did not come to its end.', remedy: 'Send it whole.' },
}

/** What could not be read as HTTP never becomes a request: the answer is written onto the connection itself. */
export const badConnection = (error: { code?: string }, socket: Socket): void => {
  if (error.code === 'ECONNRESET' || socket.destroyed || !socket.writable) {
    socket.destroy()
    return
  }
  const { status, what, remedy } = notHttp[error.code ?? ''] ?? {
    status: 400,
    what: 'What came is not HTTP as RFC 9112 has it.',
    remedy: 'Ask with an HTTP client; the interface is described at /api/openapi.json.',
  }
  const body = JSON.stringify({ error: { what, where: 'the connection', remedy } } satisfies Refusal)
  const head = [
    `HTTP/1.1 ${status} ${STATUS_CODES[status]}`,
    'Content-Type: application/json; charset=utf-8',
    `Content-Length: ${Buffer.byteLength(body)}`,
    'Cache-Control: no-store',
    'Connection: close',
  ]
  socket.end(`${head.join('\r\n')}\r\n\r\n${body}`)
}

const send = (reply: FastifyReply, { statusCode, message: what, where, remedy }: Refused) =>
  reply
    .code(statusCode)
    .header('cache-control', 'no-store')
    .type('application/json; charset=utf-8')
    .send({ error: { what, where, remedy } } satisfies Refusal)

/** What is said of an error, whatever it is. */
const refusedFor = (error: FastifyError | Refused, request: FastifyRequest): Refused => {
  const route = `${request.method} ${request.routeOptions.url ?? request.url}`
  if (error instanceof Refused) return error
  if (hasZodFastifySchemaValidationErrors(error)) {
    const part = error.validationContext ?? 'request'
    const faults = error.validation.map(({ instancePath, message }) => ({
      where: `${part} "${instancePath.replace(/^\//, '').replaceAll('/', '.')}"`.replace(' ""', ''),
      what: message ?? 'not understood',
    }))
    const what = faults.map(({ where, what }) => `${where}: ${what}`).join('; ')
    const where = [...new Set(faults.map(({ where }) => where))].join(', ')
    return new Refused(400, what, where, `See ${route} in /api/openapi.json.`)
  }
  const trouble = storeTrouble(error)
  if (trouble) return new Refused(503, `The service cannot answer: ${trouble.what}.`, 'the database', trouble.remedy)
  const status = error.statusCode ?? 500
  if (status >= 400 && status < 500) return new Refused(status, error.message, 'the request', 'See /api/openapi.json.')
  const remedy = `Look for request ${request.id} in the service's log.`
  return new Refused(500, 'The service failed to answer; nothing of yours is at fault.', route, remedy)
}
