import type { FastifyError, FastifyInstance, FastifyReply, FastifyRequest } from 'fastify'
import { hasZodFastifySchemaValidationErrors } from 'fastify-type-provider-zod'
import type { z } from 'zod'
import { storeTrouble } from '../../store/trouble.js'
import { Refused } from '../refused.js'
import type { refusal } from '../schemas/refusal.js'

type Answer = z.infer<typeof refusal>

/** Every failure answers alike: what is wrong, where, and what would be right. */
export const errors = (app: FastifyInstance): void => {
  app.setErrorHandler((error: FastifyError | Refused, request, reply) => {
    const { status, answer } = explain(error, request)
    if (status >= 500) request.log.error({ err: error, method: request.method, url: request.url }, 'a request failed')
    if (status === 401) reply.header('www-authenticate', 'Bearer')
    send(reply, status, answer)
  })
  app.setNotFoundHandler((request, reply) =>
    send(reply, 404, {
      error: {
        what: `There is nothing at ${request.method} ${request.url.slice(0, 200)}.`,
        where: 'the address',
        remedy: 'The pages begin at /, the interface is described at /api/openapi.json.',
      },
    }),
  )
}

const send = (reply: FastifyReply, status: number, answer: Answer) =>
  reply.code(status).header('cache-control', 'no-store').type('application/json; charset=utf-8').send(answer)

const explain = (error: FastifyError | Refused, request: FastifyRequest): { status: number; answer: Answer } => {
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
