import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { type PlanInOrder, type ToolList, toolList, toolPlanAnswer } from '../../../core/spindle/index.js'
import { type StandingList, toolListsOf } from '../../actions/index.js'
import type { Columns } from '../../csv.js'
import { ClosedAlready } from '../../store/facts.js'
import { toolPlanOf } from '../../studies/spindle/tool-plan.js'
import { known, knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { changedMeanwhile, Refused, refusing } from '../refused.js'
import { signed } from '../schemas/measured.js'
import { toolListsAnswer, toolsRead } from '../schemas/tool-lists.js'
import { formatQuery, jsonOrCsv, sendTable } from '../table-out.js'
import { largestTable, listOf, readTools, sentList, toolsSent } from '../tool-list-in.js'

/** lists of one machine; each is kept until it is withdrawn */
const most = 500

const listParams = machineParams.extend({ list: z.coerce.number().int().describe('id of a tool list') })

/** @throws Refused 404 */
const standing = async ({ store }: Pick<AppParts, 'store'>, machine: string, id: number): Promise<StandingList> => {
  const all = (await toolListsOf(store, machine)).map(found => ({ id: found.list.id, found }))
  return known('tool list of this machine', all, id, 'the address, after /tool-lists/').found
}

const columnsOf = ({ job: { tools } }: ToolList): Columns<PlanInOrder['cuts'][number]> => ({
  tool: cut => tools[cut.tool]!.name,
  lengthMetres: cut => tools[cut.tool]!.length,
  speedPerSecond: cut => tools[cut.tool]!.speed,
  cuttingSeconds: cut => tools[cut.tool]!.cutting,
  allowedMetres: cut => cut.allowed,
  arrivingMetres: cut => cut.arriving,
  startingMetres: cut => cut.starting,
  leastMetres: cut => cut.least,
  mostMetres: cut => cut.most,
  endingMetres: cut => cut.ending,
  steadyMetres: cut => cut.steady,
  dwellSeconds: cut => cut.dwell,
  offsetMetres: cut => cut.offset,
  halfBandMetres: cut => cut.halfBand,
  offsetWithoutDwellMetres: cut => cut.withoutDwell.offset,
  remainingWithoutDwellMetres: cut => cut.withoutDwell.remaining,
  probingSeconds: cut => cut.withoutDwell.probing.join(' '),
})

/** What is answered for a tool list. In `past-app.ts`, because looking for the best order costs some 100 ms. */
export const toolPlanRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  app.get('/api/machines/:id/tool-lists/:list', {
    config: { costs: 'computation' },
    schema: {
      summary: 'Growth, dwells, offsets and probing for the tools of a job, in the given order and in the best one',
      params: listParams,
      querystring: z.object({
        order: z.enum(['given', 'best']).default('best').describe('that a table is of'),
        ...formatQuery,
      }),
      response: { 200: jsonOrCsv(toolPlanAnswer) },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const { list } = await standing(parts, machine.id, request.params.list)
      const { order, format } = request.query
      const plan = await toolPlanOf(parts, machine, list, parts.clock()).catch(
        refusing(
          RangeError,
          ({ message }) => new Refused(409, `${message}.`, `tool list ${list.id}`, 'Change the list.'),
        ),
      )
      if (format === 'json') return plan
      return sendTable(reply, plan.answer?.[order].cuts ?? [], columnsOf(list))
    },
  })
}

/** Tool lists: entered, changed, withdrawn, on the running service. */
export const toolListsRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { store, actions } = parts
  const change = (...[found, became, who]: Parameters<typeof actions.changeToolList>) =>
    actions.changeToolList(found, became, who).catch(refusing(ClosedAlready, () => changedMeanwhile(found.list.name)))

  app.get('/api/machines/:id/tool-lists', {
    schema: {
      summary: 'Tool lists that are planned on a machine',
      params: machineParams,
      response: { 200: toolListsAnswer },
    },
    handler: async request => {
      const machine = knownMachine(parts, request.params.id)
      return { lists: (await toolListsOf(store, machine.id)).map(({ list }) => list) }
    },
  })

  app.post('/api/machines/:id/tool-lists/preview', {
    bodyLimit: 2 * largestTable,
    schema: {
      summary: 'How a list of tools would be read, and which of its rows are wrong; nothing is stored',
      params: machineParams,
      body: z.strictObject(toolsSent),
      response: { 200: toolsRead },
    },
    handler: async request => {
      knownMachine(parts, request.params.id)
      return readTools(request.body)
    },
  })

  app.post('/api/machines/:id/tool-lists', {
    bodyLimit: 2 * largestTable,
    schema: {
      summary: 'Enters the tools of a job, in the order in which they are to be used',
      params: machineParams,
      body: sentList,
      response: { 201: toolList },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      if ((await toolListsOf(store, machine.id)).length >= most)
        throw new Refused(409, `There are ${most} lists.`, machine.name, 'Withdraw those that are no longer needed.')
      const { by, note } = request.body
      const added = await actions.addToolList(machine.id, await listOf(request.body, machine), { by, note })
      request.log.info({ machine: machine.id, by, list: added.id }, 'a tool list was entered')
      return reply.code(201).send(added)
    },
  })

  app.put('/api/machines/:id/tool-lists/:list', {
    bodyLimit: 2 * largestTable,
    schema: {
      summary: 'A tool list becomes another one, at the same address',
      params: listParams,
      body: sentList,
      response: { 200: toolList },
    },
    handler: async request => {
      const machine = knownMachine(parts, request.params.id)
      const found = await standing(parts, machine.id, request.params.list)
      const { by, note } = request.body
      request.log.info({ machine: machine.id, by, list: found.list.id }, 'a tool list was changed')
      return change(found, await listOf(request.body, machine), { by, note })
    },
  })

  app.post('/api/machines/:id/tool-lists/:list/withdraw', {
    schema: {
      summary: 'A tool list is no longer needed; it stays on record',
      params: listParams,
      body: z.strictObject(signed),
      response: { 200: toolList },
    },
    handler: async request => {
      const machine = knownMachine(parts, request.params.id)
      const found = await standing(parts, machine.id, request.params.list)
      return change(found, null, request.body)
    },
  })
}
