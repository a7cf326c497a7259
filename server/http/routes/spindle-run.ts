import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import {
  growthTest,
  type RunEvent,
  runAnswer,
  runEvents,
  runState,
  type SpindleRun,
  spindlePlan,
  spindleTest,
  testOfRun,
} from '../../../core/spindle/index.js'
import { NotNow, runEventsOf, spindleRunOf } from '../../actions/index.js'
import { ClosedAlready } from '../../store/facts.js'
import { probeOf, probeReadings } from '../../studies/spindle/probe-readings.js'
import { known, knownMachine, machineParams } from '../known.js'
import type { AppParts } from '../parts.js'
import { Refused, refusing } from '../refused.js'
import { signed } from '../schemas/measured.js'
import { withinBuilderLimit } from '../speed-limit.js'

const runParams = machineParams.extend({ run: z.coerce.number().int() })
/** ms; how far a clock at the machine may be ahead of the service's */
const ahead = 60_000

/** A guided growth test while it goes on: its state is here, so that any phone can go on with it. */
export const spindleRunRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { store, actions, clock, shop } = parts

  /** what was entered, and what a probe has sent by itself */
  const eventsOf = async (run: SpindleRun): Promise<RunEvent[]> => {
    const probe = probeOf(shop, run)
    const sent = probe ? await probeReadings(store, probe, run, clock()) : []
    return [...(await runEventsOf(store, run)), ...sent].sort((a, b) => a.at - b.at)
  }

  const answerOf = async (machine: string) => {
    const { run, last } = await spindleRunOf(store, machine)
    const probe = run && probeOf(shop, run)
    return { at: clock(), run, events: run ? await eventsOf(run) : [], probe: probe?.name ?? null, last }
  }

  const goingOn = async (machine: string, id: number): Promise<SpindleRun> => {
    const { run } = await spindleRunOf(store, machine)
    return known('growth test going on with number', run ? [run] : [], id, 'the address, after /run/')
  }

  /** what cannot have happened, or not in this test */
  const check = ({ plan, at: begun }: SpindleRun, events: readonly RunEvent[], known: readonly RunEvent[]): void => {
    const readings = new Set([...known, ...events].flatMap(({ kind, key }) => (kind === 'reading' ? [key] : [])))
    events.forEach((event, i) => {
      const where = `body "events", number ${i + 1}`
      if (event.at > clock() + ahead || event.at < begun - ahead)
        throw new Refused(
          400,
          event.at < begun ? 'It is said to have happened before the test began.' : 'It lies ahead.',
          where,
          'Set the clock at the machine by the one in "at" of the answer. Nothing was stored.',
        )
      if (event.kind === 'step' && event.step >= plan.steps.length)
        throw new Refused(400, `The plan has ${plan.steps.length} steps, counted from 0.`, where, 'Name one of them.')
      if (event.kind === 'correction' && !readings.has(event.of))
        throw new Refused(400, `There is no reading "${event.of}".`, where, 'Send the reading before its correction.')
    })
  }

  app.get('/api/machines/:id/spindle/run', {
    schema: {
      summary: 'The growth test that is going on at the spindle',
      params: machineParams,
      response: { 200: runAnswer },
    },
    handler: async request => answerOf(knownMachine(parts, request.params.id).id),
  })

  app.post('/api/machines/:id/spindle/run', {
    schema: {
      summary: 'Begins a guided growth test of the spindle',
      params: machineParams,
      body: z.strictObject({ ...signed, plan: spindlePlan }),
      response: { 201: runAnswer },
    },
    handler: async (request, reply) => {
      const machine = knownMachine(parts, request.params.id)
      const { plan } = request.body
      if (!plan.steps.some(({ speed }) => speed > 0))
        throw new Refused(400, 'The spindle never turns.', 'body "plan"', 'Give at least one step with a speed.')
      withinBuilderLimit(
        machine,
        plan.steps.map(({ speed }) => speed),
        'The spindle',
        'body "plan", "steps"',
      )
      if (plan.readAt.some((at, i) => i > 0 && at <= plan.readAt[i - 1]!))
        throw new Refused(400, 'Reading times do not rise.', 'body "plan", "readAt"', 'Give each once, in order.')
      const goesOn = ({ message }: NotNow) =>
        new Refused(409, `${message}.`, 'the machine', 'Go on with that one, or end it first.')
      const begun = { machine: machine.id, ...request.body }
      const run = await actions.beginSpindleRun(begun).catch(refusing(NotNow, goesOn))
      request.log.info({ machine: machine.id, by: run.by, run: run.id }, 'a growth test was begun')
      return reply.code(201).send(await answerOf(machine.id))
    },
  })

  app.post('/api/machines/:id/spindle/run/:run/events', {
    bodyLimit: 512 * 1024,
    schema: {
      summary: 'What happened in the test: steps begun, readings, corrections; what is sent twice counts once',
      params: runParams,
      body: z.strictObject({ events: runEvents.min(1) }),
      response: { 200: runAnswer },
    },
    handler: async request => {
      const machine = knownMachine(parts, request.params.id)
      const run = await goingOn(machine.id, request.params.run)
      check(run, request.body.events, await eventsOf(run))
      await actions.addRunEvents(run, request.body.events)
      return answerOf(machine.id)
    },
  })

  app.post('/api/machines/:id/spindle/run/:run/finish', {
    schema: {
      summary: 'Ends the test: it is kept and fitted from then on. Ending it twice is ending it once',
      params: runParams,
      body: z.strictObject({ note: signed.note }),
      response: { 200: spindleTest },
    },
    handler: async request => {
      const machine = knownMachine(parts, request.params.id)
      const became = async () =>
        (await store.facts.of('spindle test', { subject: machine.id })).find(({ run }) => run === request.params.run)
      const already = await became()
      if (already) return already
      const run = await goingOn(machine.id, request.params.run)
      const state = runState(await eventsOf(run))
      const test = testOfRun(run.plan, state)
      const found = test && growthTest.safeParse(test)
      if (!found?.success)
        throw new Refused(
          409,
          found
            ? `This is no test yet: ${found.error.issues[0]!.message}.`
            : 'The spindle was not read since it turned.',
          'the test',
          'Go on with it, or give it up.',
        )
      const note = [run.note, request.body.note].filter(Boolean).join(' ')
      try {
        const added = await actions.addSpindleTest({
          machine: machine.id,
          at: state.begun[0]!.at,
          by: run.by,
          note,
          readWith: run.plan.readWith,
          test: found.data,
          run: run.id,
        })
        request.log.info({ machine: machine.id, by: run.by, test: added.id }, 'a growth test ended')
        return added
      } catch (error) {
        const other = error instanceof ClosedAlready ? await became() : undefined
        if (other) return other
        throw error
      }
    },
  })

  app.post('/api/machines/:id/spindle/run/:run/give-up', {
    schema: {
      summary: 'Gives the test up: nothing is made of it, and what was read stays on record',
      params: runParams,
      body: z.strictObject(signed),
      response: { 200: runAnswer },
    },
    handler: async request => {
      const machine = knownMachine(parts, request.params.id)
      await actions.giveUpSpindleRun(await goingOn(machine.id, request.params.run), request.body)
      return answerOf(machine.id)
    },
  })
}
