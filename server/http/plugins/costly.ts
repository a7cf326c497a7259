import { text } from 'node:stream/consumers'
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify'
import type { AppParts } from '../parts.js'
import { Refused } from '../refused.js'
import { isCrossSite } from './access.js'

declare module 'fastify' {
  interface FastifyContextConfig {
    /**
     * Answering a GET of this route takes more than some milliseconds: it asks for nothing but the stored past, and is
     * answered on a thread of its own (`past-app.ts`). An export may also be as long as all that is stored.
     */
    costs?: 'computation' | 'export'
  }
}

/** questions that wait for the thread or are being answered; a page asks four at once */
const mostQuestions = 40
/** s; when to ask again */
const soon = { computation: 5, export: 30 }
/** ms; an export that is not read for so long is broken off, for others wait for it */
const patience = 60_000

/**
 * What costs something: no other site may set it off, HEAD does not compute it, it does not hold up the service, and only
 * so much of it is done at once.
 */
export const costly = (app: FastifyInstance, { beside, clock }: Pick<AppParts, 'beside' | 'clock'>): void => {
  let questions = 0
  let exporting = false

  app.addHook('onRequest', async request => {
    if (!request.url.startsWith('/api/') && request.routeOptions.url !== '/metrics') return
    if (request.method !== 'GET' && request.method !== 'HEAD') return
    if (!isCrossSite(request)) return
    throw new Refused(
      403,
      'Another site tried to ask here.',
      'headers "Origin" and "Sec-Fetch-Site"',
      "Ask from the service's own pages, from the address bar, or from a program that sends neither header.",
    )
  })

  app.addHook('preHandler', async (request, reply) => {
    const { costs } = request.routeOptions.config
    if (!costs) return
    if (request.method === 'HEAD') return reply.type(typeOf(request, costs)).send()
    if (costs === 'export' ? exporting : questions >= mostQuestions) throw busy(costs, reply)
    questions += 1
    if (costs === 'export') exporting = true
    reply.raw.once('close', () => {
      questions -= 1
      if (costs === 'export') exporting = false
    })
    if (beside) return answered(request, reply, beside, clock(), costs)
  })
}

const typeOf = ({ query }: FastifyRequest, costs: 'computation' | 'export'): string =>
  costs === 'export' || (query as { format?: string }).format === 'csv'
    ? 'text/csv; charset=utf-8'
    : 'application/json; charset=utf-8'

const busy = (costs: 'computation' | 'export', reply: FastifyReply): Refused => {
  reply.header('retry-after', soon[costs])
  const again = `Try again in ${soon[costs]} s.`
  if (costs === 'computation')
    return new Refused(503, `${mostQuestions} questions about the past wait already.`, 'the service', again)
  const why = 'One export runs at a time, so that the service goes on with its work.'
  return new Refused(503, 'Readings are being exported for somebody else.', 'the export', `${why} ${again}`)
}

/** Hands on what the thread answers, until it ends or the reader has gone. */
const answered = async (
  request: FastifyRequest,
  reply: FastifyReply,
  beside: NonNullable<AppParts['beside']>,
  now: number,
  costs: 'computation' | 'export',
): Promise<FastifyReply> => {
  const { status, headers, body, failure } = await beside.ask(request.url, now)
  if (failure) request.log.error({ failure, url: request.url }, 'a request failed')
  if (reply.raw.destroyed) {
    // the reader went while the thread was asked: there is nobody to send anything to
    body.destroy()
    return reply.hijack()
  }
  reply.raw.once('close', () => {
    body.destroy()
    // or the route itself would be asked, and answer nobody
    if (!reply.raw.writableEnded) reply.hijack()
  })
  if (costs === 'export') breakOffWhenStalled(request, reply)
  return reply.code(status).headers(headers).send(body)
}

/**
 * What a GET that costs something answers, for a write that stands on it: from the thread, or computed here where there is
 * none.
 *
 * @throws Refused as the GET would be refused
 */
export const askedBeside = async <T>(
  { beside, clock }: Pick<AppParts, 'beside' | 'clock'>,
  url: string,
  here: () => T | Promise<T>,
): Promise<T> => {
  if (!beside) return here()
  const { status, body, failure } = await beside.ask(url, clock())
  const answer = JSON.parse(await text(body))
  if (failure) throw new Error(failure)
  if (status === 200) return answer
  const { what, where, remedy } = answer.error
  throw new Refused(status, what, where, remedy)
}

const breakOffWhenStalled = (request: FastifyRequest, reply: FastifyReply): void => {
  let written = -1
  const timer = setInterval(() => {
    const now = reply.raw.socket?.bytesWritten ?? written
    if (now === written) {
      request.log.warn('an export was broken off: nothing of it was read for a minute')
      reply.raw.destroy()
    }
    written = now
  }, patience)
  reply.raw.once('close', () => clearInterval(timer))
}
