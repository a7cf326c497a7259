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
    const { status, answer } = explain(error, request)
    // what is refused with words of our own, because others are served or the service stops, has not failed
    if (status >= 500 && !(error instanceof Refused))
      request.log.error({ err: error, method: request.method, url: request.url }, 'a request failed')
    // half an answer is on its way, or its reader has gone: it can only be broken off
    if (reply.raw.headersSent) {
      reply.hijack()
      reply.raw.destroy()
      return
    }
    if (status === 401) reply.header('www-authenticate', 'Bearer')
    send(reply, status, answer)
  })
  app.setNotFoundHandler((request, reply) => {
    const page = join(pages, 'index.html')
    if (wantsPage(request) && existsSync(page))
      return reply.code(404).header('cache-control', 'no-cache').type('text/html').send(createReadStream(page))
    return send(reply, 404, {
      error: {
        what: `There is nothing at ${request.method} ${request.url.slice(0, 200)}.`,
        where: 'the address',
        remedy: 'The pages begin at /, the interface is described at /api/openapi.json.',
      },
    })
  })
}

/** An address that leads to no route because of its very form. */
export const badAddress = (error: FastifyError, _request: unknown, reply: FastifyReply): void => {
  send(reply, error.statusCode ?? 400, {
    error: {
      what:
        error.code === 'FST_ERR_MAX_PARAM_LENGTH'
          ? 'A name in the address is too long.'
          : 'The address is not well formed.',
      where: 'the address',
      remedy: 'The interface is described at /api/openapi.json.',
    },
  })
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

const send = (reply: FastifyReply, status: number, answer: Refusal) =>
  reply.code(status).header('cache-control', 'no-store').type('application/json; charset=utf-8').send(answer)

const explain = (error: FastifyError | Refused, request: FastifyRequest): { status: number; answer: Refusal } => {
  if (error instanceof Refused)
    return {
      status: error.statusCode,
      answer: { error: { what: error.message, where: error.where, remedy: error.remedy } },
    }
  if (hasZodFastifySchemaValidationErrors(error)) {
    const part = error.validationContext ?? 'request'
    const faults = error.validation.map(({ instancePath, message }) => ({
      where: `${part} "${instancePath.replace(/^\//, '').replaceAll('/', '.')}"`.replace(' ""', ''),
      what: message ?? 'not understood',
    }))
    return {
      status: 400,
      answer: {
        error: {
          what: faults.map(({ where, what }) => `${where}: ${what}`).join('; '),
          where: [...new Set(faults.map(({ where }) => where))].join(', '),
          remedy: `See ${request.method} ${request.routeOptions.url ?? request.url} in /api/openapi.json.`,
        },
      },
    }
  }
  const trouble = storeTrouble(error)
  if (trouble)
    return {
      status: 503,
      answer: {
        error: { what: `The service cannot answer: ${trouble.what}.`, where: 'the database', remedy: trouble.remedy },
      },
    }
  const status = error.statusCode ?? 500
  if (status >= 400 && status < 500)
    return {
      status,
      answer: { error: { what: error.message, where: 'the request', remedy: 'See /api/openapi.json.' } },
    }
  return {
    status: 500,
    answer: {
      error: {
        what: 'The service failed to answer; nothing of yours is at fault.',
        where: `${request.method} ${request.routeOptions.url ?? request.url}`,
        remedy: `Look for request ${request.id} in the service's log.`,
      },
    },
  }
}
