import Fastify, { type FastifyInstance, LogController } from 'fastify'
import { createLive, type LiveLimits } from './live.js'
import type { AppParts } from './parts.js'
import { pastRoutes } from './past-app.js'
import { accessRule } from './plugins/access.js'
import { compression } from './plugins/compression.js'
import { costly } from './plugins/costly.js'
import { badAddress, badConnection, errors } from './plugins/errors.js'
import { openapi } from './plugins/openapi.js'
import { pages } from './plugins/pages.js'
import { securityHeaders } from './plugins/security-headers.js'
import { writeLimit } from './plugins/write-limit.js'
import { alignmentRoutes } from './routes/alignment.js'
import { datumsRoutes } from './routes/datums.js'
import { decisionsRoutes } from './routes/decisions.js'
import { forecastRoutes } from './routes/forecast.js'
import { healthRoutes } from './routes/health.js'
import { heatingRoutes } from './routes/heating.js'
import { identificationsRoutes } from './routes/identifications.js'
import { inspectionImportsRoutes } from './routes/inspection-imports.js'
import { jobsRoutes } from './routes/jobs.js'
import { liveRoutes } from './routes/live.js'
import { machinesRoutes } from './routes/machines.js'
import { metricsRoutes } from './routes/metrics.js'
import { morningRoutes } from './routes/morning.js'
import { recordingRoutes } from './routes/recording.js'
import { refusalsRoutes } from './routes/refusals.js'
import { sensorsRoutes } from './routes/sensors.js'
import { shopRoutes } from './routes/shop.js'
import { spindleWrites } from './routes/spindle.js'
import { spindleRunRoutes } from './routes/spindle-run.js'
import { storeRoutes } from './routes/store.js'
import { toolListsRoutes } from './routes/tool-lists.js'
import { unassignedRoutes } from './routes/unassigned.js'
import { workChangesRoutes } from './routes/work-changes.js'

/**
 * The HTTP interface: pages, API, live stream, health and metrics. Not listening yet: call `listen`, and `close` before
 * the store is closed.
 */
export const createApp = async (parts: AppParts, liveLimits?: LiveLimits): Promise<FastifyInstance> => {
  const app: FastifyInstance = Fastify({
    ...(parts.logger ? { loggerInstance: parts.logger } : { logger: false }),
    logController: new LogController({ disableRequestLogging: true }),
    bodyLimit: 64 * 1024,
    // a recording of 100 MB on a slow network of a shop
    requestTimeout: 120_000,
    frameworkErrors: badAddress,
    clientErrorHandler: badConnection,
    routerOptions: { maxParamLength: 200 },
  })
  // a write is JSON or nothing: what a foreign form can send is not read
  app.removeContentTypeParser('text/plain')

  errors(app, parts.settings.pages)
  await securityHeaders(app, parts.settings.host)
  accessRule(app, parts.settings)
  await writeLimit(app, parts.settings)
  costly(app, parts)
  await openapi(app, parts.version)
  app.addHook('onSend', async (_request, reply) => {
    if (!reply.hasHeader('cache-control')) reply.header('cache-control', 'no-store')
  })

  compression(app)

  const live = createLive(parts.monitor, parts.clock, liveLimits)
  for (const routes of [
    shopRoutes,
    machinesRoutes,
    sensorsRoutes,
    forecastRoutes,
    unassignedRoutes,
    storeRoutes,
    datumsRoutes,
    decisionsRoutes,
    identificationsRoutes,
    recordingRoutes,
    refusalsRoutes,
    healthRoutes,
    jobsRoutes,
    morningRoutes,
    heatingRoutes,
    alignmentRoutes,
    workChangesRoutes,
    spindleWrites,
    toolListsRoutes,
    inspectionImportsRoutes,
    spindleRunRoutes,
    ...pastRoutes,
  ])
    await app.register(routes, parts)
  await app.register(liveRoutes, { live })
  await app.register(metricsRoutes, { ...parts, live })
  app.get('/api/openapi.json', { schema: { hide: true } }, async () => app.swagger())
  await pages(app, parts.settings.pages)
  return app
}
