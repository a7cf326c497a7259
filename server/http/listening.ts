import { hostname } from 'node:os'
import type { FastifyInstance } from 'fastify'

/** ms; connections that are still busy when the service stops get so long */
const patience = 2_000

const shownHost = (host: string): string => {
  if (host === '0.0.0.0' || host === '::') return hostname()
  return host.includes(':') ? `[${host}]` : host
}

const remedies: Record<string, string> = {
  EADDRINUSE: 'Another program, perhaps a second service, uses it: choose another with --port.',
  EACCES: 'Ports below 1024 need special rights: choose a higher one with --port.',
  EADDRNOTAVAIL: 'This computer has no such address: choose another with --host.',
  ENOTFOUND: 'That name is not known: choose another with --host.',
}

/**
 * Serves the pages and the interface.
 *
 * @returns where the pages are, for a browser on this computer
 * @throws Error with what to do where the address cannot be used
 */
export const listen = async (app: FastifyInstance, host: string, port: number): Promise<string> => {
  try {
    await app.listen({ host, port, listenTextResolver: address => `listening on ${address}` })
  } catch (error) {
    const remedy = remedies[(error as NodeJS.ErrnoException).code ?? '']
    if (!remedy) throw error
    throw new Error(`The pages cannot be served on ${host}, port ${port}. ${remedy}`, { cause: error })
  }
  const address = app.server.address()
  return `http://${shownHost(host)}:${typeof address === 'object' && address ? address.port : port}`
}

/** Ends what is asked of the pages: what is still busy gets some time. */
export const stopListening = async (app: FastifyInstance): Promise<void> => {
  const late = setTimeout(() => app.server.closeAllConnections(), patience)
  await app.close()
  clearTimeout(late)
}
