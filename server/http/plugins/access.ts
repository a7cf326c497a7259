import { createHash, timingSafeEqual } from 'node:crypto'
import { isIPv4 } from 'node:net'
import type { FastifyInstance, FastifyRequest } from 'fastify'
import type { HttpSettings } from '../parts.js'
import { Refused } from '../refused.js'

/** whether only this very computer can reach what listens there */
export const isLoopback = (host: string): boolean => {
  const bare = host.replace(/^\[(.*)\]$/, '$1').toLowerCase()
  return bare === 'localhost' || bare === '::1' || (isIPv4(bare) && bare.startsWith('127.'))
}

export const isWrite = (request: Pick<FastifyRequest, 'method'>): boolean =>
  !['GET', 'HEAD', 'OPTIONS'].includes(request.method)

/** whether writes need the token, whoever asks */
export const writesNeedToken = (settings: Pick<HttpSettings, 'host'>): boolean => !isLoopback(settings.host)

/**
 * Who may ask, and who may write.
 *
 * On loopback, requests must name this computer as their host: a page of the internet whose name was pointed at
 * 127.0.0.1 (DNS rebinding) names its own. Writes must come from our own pages or from no page at all. Elsewhere, and
 * for what a proxy forwards, every write needs the bearer token.
 */
export const accessRule = (app: FastifyInstance, settings: HttpSettings): void => {
  const loopback = isLoopback(settings.host)

  app.addHook('onRequest', async request => {
    if (!loopback || isLoopback(hostName(request.headers.host))) return
    throw new Refused(
      403,
      'This service answers only under the name of this computer.',
      'header "Host"',
      'Open it as http://127.0.0.1 or http://localhost with its port, or start it with --host to listen elsewhere.',
    )
  })

  // after the rate limit, so that guesses at the token are counted
  app.addHook('preParsing', async request => {
    const refused = isWrite(request) && writeRefusal(request, settings)
    if (refused) throw refused
  })
}

/** Why a write is not taken from whoever sends it; null when it is. */
export const writeRefusal = (request: FastifyRequest, { host, token }: HttpSettings): Refused | null => {
  const given = bearer(request.headers.authorization)
  if (given !== null && token !== null && sameText(given, token)) return null
  if (!isLoopback(host) || isForwarded(request)) return tokenWanted(given !== null, token !== null)
  if (!isCrossSite(request)) return null
  return new Refused(
    403,
    'Another site tried to write here.',
    'headers "Origin" and "Sec-Fetch-Site"',
    "Write from the service's own pages, or from a program that sends neither header.",
  )
}

const tokenWanted = (given: boolean, exists: boolean): Refused =>
  new Refused(
    401,
    given ? 'The token is wrong.' : 'Writing needs the token.',
    'header "Authorization"',
    exists
      ? 'Send "Authorization: Bearer TOKEN". The service says at its start where the token lies.'
      : 'This service has no token: set QUIET_IRON_TOKEN and start it again, or write from this computer without a proxy.',
  )

const hostName = (header: string | undefined): string => {
  try {
    return new URL(`http://${header ?? ''}`).hostname
  } catch {
    return ''
  }
}

const bearer = (header: string | undefined): string | null => /^Bearer +(\S+) *$/i.exec(header ?? '')?.[1] ?? null

/** digests are equally long, and comparing them takes the same time wherever they differ */
const sameText = (a: string, b: string): boolean => timingSafeEqual(digest(a), digest(b))
const digest = (text: string) => createHash('sha256').update(text).digest()

const isForwarded = ({ headers }: FastifyRequest): boolean =>
  headers.forwarded !== undefined || headers['x-forwarded-for'] !== undefined || headers.via !== undefined

/** a page of another origin set it off; programs that are no browsers send neither header */
export const isCrossSite = ({ headers }: FastifyRequest): boolean => {
  const site = headers['sec-fetch-site']
  if (site !== undefined && site !== 'same-origin' && site !== 'none') return true
  if (headers.origin === undefined) return false
  return headers.origin !== `http://${headers.host}` && headers.origin !== `https://${headers.host}`
}
