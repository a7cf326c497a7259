import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { sourcesAhead, sourcesAnswer, whatIfAnswer } from '../../../core/shop-model/index.js'
import { sourcesAheadOf } from '../../studies/shop-model/ahead.js'
import { machineSources } from '../../studies/shop-model/sources.js'
import { machineWithout } from '../../studies/shop-model/what-if.js'
import { knownAxis, knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { planForm, readPlan } from '../plan.js'
import { notKnown } from '../refused.js'
import { day, spanOf, spanQuery } from '../span.js'

/** Where a machine's movement came from, and what it would have been without a source. */
export const sourcesRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  app.get('/api/machines/:id/sources', {
    config: { costs: 'computation' },
    schema: {
      summary: "Where a machine's movement came from over a span: shares by source, responses to openings, cycling",
      description:
        'By the learned model of the shop, with each source and without it. Shares need not sum to one: a thermostat answers a ' +
        'door, and sources cancel each other.',
      params: machineParams,
      querystring: z.object({
        ...spanQuery,
        axis: z.string().optional().describe('id of an axis; the one that moved most if not given'),
      }),
      response: { 200: sourcesAnswer },
    },
    handler: async request => {
      const machine = knownMachine(parts, request.params.id)
      const { axis } = request.query
      const chosen = axis === undefined ? null : knownAxis(machine, axis, 'query').id
      return machineSources(parts, machine, spanOf(request.query, parts.clock(), day), chosen)
    },
  })

  app.get('/api/machines/:id/sources-ahead', {
    config: { costs: 'computation' },
    schema: {
      summary:
        'What changes of doors, vents, heat sources and the heating would do to the air at a machine from now on',
      description:
        'By the learned model of the shop, against sources that stay as they are. Without a plan: what each would do if it were ' +
        'changed now, and why of some nothing can be told.',
      params: machineParams,
      querystring: z.object({ plan: z.string().max(1000).default('').describe(planForm) }),
      response: { 200: sourcesAhead },
    },
    handler: async request => {
      const machine = knownMachine(parts, request.params.id)
      const { sources } = readPlan(request.query.plan, parts.shop, parts.clock())
      return sourcesAheadOf(parts, machine, sources, parts.clock())
    },
  })

  app.get('/api/machines/:id/what-if', {
    config: { costs: 'computation' },
    schema: {
      summary: 'The course of a machine over a span had doors, vents or heat sources stayed shut or off',
      params: machineParams,
      querystring: z.object({
        ...spanQuery,
        shut: z.string().describe('ids of sources, with commas between them'),
      }),
      response: { 200: whatIfAnswer },
    },
    handler: async request => {
      const machine = knownMachine(parts, request.params.id)
      const ids = parts.shop.sources.map(({ id }) => id)
      const shut = request.query.shut.split(',').map(id => id.trim())
      const missing = shut.filter(id => !ids.includes(id))
      if (missing.length > 0) throw notKnown('source', missing, ids, 'query "shut"')
      return machineWithout(parts, machine, spanOf(request.query, parts.clock(), day), shut)
    },
  })
}
