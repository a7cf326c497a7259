import Fastify, { type FastifyInstance } from 'fastify'
import type { Shop } from '../../core/shop.js'
import type { PastReader } from '../store/reader.js'
import type { AppParts } from './parts.js'
import { errors } from './plugins/errors.js'
import { checkedBySchemas } from './plugins/openapi.js'
import { calibrationRoutes } from './routes/calibration.js'
import { coursesRoutes } from './routes/courses.js'
import { environmentRoutes } from './routes/environment.js'
import { growthRoutes } from './routes/growth.js'
import { happenedRoutes } from './routes/happened.js'
import { setbacksRoutes } from './routes/heating.js'
import { inspectionsRoutes } from './routes/inspections.js'
import { investigationRoutes } from './routes/investigation.js'
import { learningRoutes } from './routes/learning.js'
import { nightRoutes } from './routes/night.js'
import { readingsRoutes } from './routes/readings.js'
import { recordsRoutes } from './routes/records.js'
import { seriesRoutes } from './routes/series.js'
import { sourcesRoutes } from './routes/sources.js'
import { spindleRoutes } from './routes/spindle.js'
import { toolPlanRoutes } from './routes/tool-lists.js'
import { verdictsRoutes } from './routes/verdicts.js'

/** Routes that look at the past: what costs time among them (`config.costs`) is answered on a thread of its own. */
export const pastRoutes = [
  coursesRoutes,
  seriesRoutes,
  readingsRoutes,
  growthRoutes,
  verdictsRoutes,
  environmentRoutes,
  learningRoutes,
  calibrationRoutes,
  recordsRoutes,
  setbacksRoutes,
  nightRoutes,
  spindleRoutes,
  toolPlanRoutes,
  inspectionsRoutes,
  sourcesRoutes,
  investigationRoutes,
  happenedRoutes,
]

/**
 * The part of the HTTP interface that the thread answers, over one snapshot of the store. Only GETs reach it, and those with
 * `config.costs` ask for nothing but what it has here: what the service alone knows (the monitor) is not in it.
 */
export const createPastApp = async (shop: Shop, reader: PastReader, now: number): Promise<FastifyInstance> => {
  const app: FastifyInstance = Fastify({ logger: false, exposeHeadRoutes: false })
  errors(app, '')
  checkedBySchemas(app)
  const parts = { shop, store: reader, clock: () => now } as unknown as AppParts
  for (const routes of pastRoutes) await app.register(routes, parts)
  return app
}
