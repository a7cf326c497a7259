import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { heatingAnswer, type Setback } from '../../../core/heating/index.js'
import type { Machine } from '../../../core/shop.js'
import { setbacksAt, setbacksPath } from '../../studies/heating/setbacks.js'
import { finestClass, furthestGoal, heatingFor } from '../../studies/heating/start.js'
import { timeReader } from '../../table/index.js'
import { known, knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { askedBeside } from '../plugins/costly.js'
import { Refused } from '../refused.js'
import { hour } from '../span.js'

const response = z.object({
  at: z.number().describe('ms since 1970 UTC'),
  from: z.number().describe('°C'),
  to: z.number().describe('°C; the level it went to'),
  timeConstant: z.number().describe('s'),
  scatter: z.number().describe('K'),
  explained: z.number().describe('0..1'),
})
const setbacksAnswer = z.object({
  setbacks: z.array(z.object({ away: response.nullable(), back: response, length: z.number().describe('ms') })),
})

/** What the past shows of setbacks. */
export const setbacksRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  app.get('/api/machines/:id/setbacks', {
    config: { costs: 'computation' },
    schema: {
      summary: 'When the heating was set back and came again in the last four weeks, as the air at a machine tells',
      params: machineParams,
      response: { 200: setbacksAnswer },
    },
    handler: async request => ({
      setbacks: await setbacksAt(parts, knownMachine(parts, request.params.id), parts.clock()),
    }),
  })
}

/** When heating or cooling must start. */
export const heatingRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { shop, clock } = parts
  // what weeks show hardly changes within a quarter of an hour
  const seen = new Map<string, { at: number; setbacks: Setback[] }>()
  const setbacksOf = async (machine: Machine): Promise<Setback[]> => {
    const now = clock()
    const kept = seen.get(machine.id)
    if (kept && now >= kept.at && now - kept.at < hour / 4) return kept.setbacks
    const here = async () => ({ setbacks: await setbacksAt(parts, machine, now) })
    const { setbacks } = await askedBeside(parts, setbacksPath(machine.id), here)
    seen.set(machine.id, { at: now, setbacks })
    return setbacks
  }

  app.get('/api/heating', {
    schema: {
      summary: 'When the heating must come on so that machines are fit for a work class by a time; advice only',
      querystring: z.object({
        class: z.string().optional().describe('id of a work class; the finest one if not given'),
        machine: z.string().optional().describe('id; all machines if not given'),
        by: z
          .string()
          .trim()
          .max(40)
          .optional()
          .describe("2026-01-19 07:00 in the shop's time, within 72 hours; when the next shift begins if not given"),
      }),
      response: { 200: heatingAnswer },
    },
    handler: async request => {
      const now = clock()
      const { machine, by } = request.query
      return heatingFor(parts, classOf(request.query.class), setbacksOf, now, {
        ...(machine !== undefined && { machines: [knownMachine(parts, machine)] }),
        ...(by !== undefined && { goal: goalOf(by, now) }),
      })
    },
  })

  const classOf = (id: string | undefined) => {
    const finest = id === undefined && shop.workClasses.length > 0 && finestClass(shop)
    return finest || known('work class', shop.workClasses, id ?? '', 'query "class"')
  }

  /** @throws Refused */
  const goalOf = (text: string, now: number): number => {
    const found = timeReader({ zone: shop.timeZone, scale: null })(text, null)
    if ('problem' in found) throw new Refused(400, found.problem, 'query "by"', found.remedy)
    if (found.at > now && found.at <= now + furthestGoal) return found.at
    throw new Refused(
      400,
      `"${text}" ${found.at > now ? 'is more than 72 hours ahead' : 'is over'}.`,
      'query "by"',
      'Give a time within the next 72 hours: further ahead nothing is forecast.',
    )
  }
}
