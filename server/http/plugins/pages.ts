import { existsSync } from 'node:fs'
import { join, sep } from 'node:path'
import fastifyStatic from '@fastify/static'
import type { FastifyInstance } from 'fastify'
import { routes } from '../../../web/routes.js'
import { Refused } from '../refused.js'

/** a file whose name changes with its content may be kept for ever; everything else is asked for again each time */
const cacheFor = (path: string): string =>
  path.includes(`${sep}assets${sep}`) ? 'public, max-age=31536000, immutable' : 'no-cache'

/** @param folder of the built pages: index.html and what it loads */
export const pages = async (app: FastifyInstance, folder: string): Promise<void> => {
  if (!existsSync(join(folder, 'index.html'))) {
    for (const url of Object.values(routes))
      app.get(url, { schema: { hide: true } }, async () => {
        throw new Refused(503, 'The pages are not built.', folder, 'Run "npm run build", then start the service again.')
      })
    return
  }
  await app.register(fastifyStatic, {
    root: folder,
    index: false,
    dotfiles: 'ignore',
    redirect: false,
    cacheControl: false,
    // as the build has compressed them
    preCompressed: true,
    schemaHide: true,
    setHeaders: (reply, path) => reply.header('cache-control', cacheFor(path)),
  })
  for (const url of Object.values(routes))
    app.get(url, { schema: { hide: true } }, (_request, reply) => reply.sendFile('index.html'))
}
