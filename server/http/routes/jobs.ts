import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { type JobPlan, plannedJob } from '../../../core/morning/index.js'
import { plannedJobsOf, type StandingJob, toolListsOf } from '../../actions/index.js'
import { isoTime } from '../../csv.js'
import { ClosedAlready } from '../../store/facts.js'
import { dayAfter, dayOf, isDay, onDay } from '../../studies/morning/day.js'
import { jobColumns, mandatoryJobColumns, readingJobs } from '../../studies/morning/job-rows.js'
import { type CellFault, readingRows, type TableFault } from '../../table/index.js'
import { inTurns } from '../../turns.js'
import { cellsOfJob, type JobCells, jobOfOne } from '../job-in.js'
import { known } from '../known.js'
import type { AppParts } from '../parts.js'
import { changedMeanwhile, Refused, refusing } from '../refused.js'
import { answeredAnswer, enteredAnswer, jobsAnswer, previewAnswer } from '../schemas/jobs.js'
import { signed } from '../schemas/measured.js'
import { refuseFaults } from '../table-in.js'
import { formatQuery, jsonOrCsv, sendTable } from '../table-out.js'

const largestTable = 512 * 1024
/** jobs planned for one day; each is answered anew every few minutes */
const most = 400
/** days looked back for the list that is taken over */
const longestBack = 14

const dayText = z
  .string()
  .refine(isDay, 'a day is written as 2026-01-14')
  .optional()
  .describe('ISO 8601, in the shop’s time zone; today if not given')
const oneJob = { one: cellsOfJob, day: dayText }
const entry = z.strictObject({
  ...signed,
  day: dayText,
  one: cellsOfJob.optional(),
  csv: z
    .string()
    .max(largestTable)
    .optional()
    .describe(
      `a table with the headings ${jobColumns.join(', ')}, of which ${mandatoryJobColumns.join(', ')} must be there; ` +
        'a row without a part is a further feature of the job above it',
    ),
})

export const jobsRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { store, shop, clock, actions } = parts
  const zone = () => shop.timeZone
  const today = () => dayOf(clock(), zone())
  const contextFor = async (day: string | undefined) => ({
    shop,
    day: day ?? today(),
    now: clock(),
    toolLists: (await Promise.all(shop.machines.map(({ id }) => toolListsOf(store, id)))).flatMap(all =>
      all.map(({ list }) => list),
    ),
  })
  const withDays = (jobs: readonly JobPlan[]) => jobs.map(job => ({ ...job, day: dayOf(job.start, zone()) }))

  /** @throws Refused when a day would have too many */
  const roomFor = async (jobs: readonly { day: string }[]) => {
    for (const day of new Set(jobs.map(job => job.day))) {
      const count = (await plannedJobsOf(store, day)).length + jobs.filter(job => job.day === day).length
      if (count > most)
        throw new Refused(409, `${day} would have ${count} jobs.`, 'the list', `Plan at most ${most} for a day.`)
    }
  }

  const readCsv = async (text: string, day: string | undefined) => {
    const bad: TableFault[] = []
    const read = await inTurns(readingRows(text, jobColumns, mandatoryJobColumns, fault => bad.push(fault)))
    if ('fault' in read) refuseFaults([read.fault], 'body "csv"')
    const { jobs, faults } = await inTurns(readingJobs('rows' in read ? read.rows : [], await contextFor(day)))
    const refused: CellFault[] = [...bad.map(fault => ({ ...fault, column: '' })), ...faults]
    return { jobs, refused: refused.sort((a, b) => a.line - b.line) }
  }

  /** @throws Refused 404 */
  const standing = async (id: number, day: string | undefined): Promise<{ day: string; found: StandingJob }> => {
    const of = day ?? today()
    const all = (await plannedJobsOf(store, of)).map(found => ({ id: found.job.id, found }))
    return { day: of, found: known(`job of ${of}`, all, id, 'the address, after /api/jobs/').found }
  }
  const change = (...[day, found, became, who]: Parameters<typeof actions.changeJob>) =>
    actions
      .changeJob(day, found, became, who)
      .catch(refusing(ClosedAlready, () => changedMeanwhile(`job ${found.job.id}`)))
  const params = z.object({ id: z.coerce.number().int() })

  app.get('/api/jobs', {
    schema: {
      summary: 'The planned jobs of a day',
      querystring: z.object({ day: dayText, ...formatQuery }),
      response: { 200: jsonOrCsv(jobsAnswer) },
    },
    handler: async (request, reply) => {
      const day = request.query.day ?? today()
      const jobs = (await plannedJobsOf(store, day)).map(({ job }) => job)
      if (request.query.format === 'json') return { day, jobs }
      const rows = jobs.flatMap(job => job.features.map(feature => ({ job, feature })))
      return sendTable(reply, rows, {
        id: ({ job }) => job.id,
        part: ({ job }) => job.part,
        machines: ({ job }) => job.machines.join(' or '),
        startUtc: ({ job }) => isoTime(job.start),
        durationSeconds: ({ job }) => job.duration,
        material: ({ job }) => job.material,
        feature: ({ feature }) => feature.name,
        lengthMetres: ({ feature }) => feature.length,
        toleranceMetres: ({ feature }) => feature.tolerance,
        grade: ({ feature }) => feature.grade,
        axis: ({ feature }) => feature.axis,
        share: ({ job }) => job.share,
        zeroedAt: ({ job }) => job.zeroedAt,
        from: ({ job }) => job.from.kind,
        speedPerSecond: ({ job }) => job.speed,
        by: ({ job }) => job.by,
      })
    },
  })

  app.post('/api/jobs', {
    bodyLimit: largestTable + 64 * 1024,
    schema: {
      summary: 'Plans a job, or a table of them as CSV: bad rows are refused, the good ones taken',
      body: entry,
      response: { 201: enteredAnswer },
    },
    handler: async (request, reply) => {
      const { by, one, csv: text, day } = request.body
      if ((one === undefined) === (text === undefined))
        throw new Refused(400, 'There is no job, or two ways of one.', 'body', 'Send "one" job or a table as "csv".')
      const { jobs, refused } =
        text !== undefined
          ? await readCsv(text, day)
          : { jobs: [await jobOfOne(one as JobCells, await contextFor(day))], refused: [] }
      const planned = withDays(jobs)
      await roomFor(planned)
      const added = await actions.planJobs(planned, by)
      request.log.info({ by, count: added.length, refused: refused.length }, 'jobs were planned')
      return reply.code(201).send({ added, refused })
    },
  })

  app.post('/api/jobs/preview', {
    bodyLimit: largestTable + 64 * 1024,
    schema: {
      summary: 'What a table of jobs would add, and which of its rows would be refused; nothing is stored',
      body: z.strictObject({ day: dayText, csv: z.string().max(largestTable) }),
      response: { 200: previewAnswer },
    },
    handler: async request => readCsv(request.body.csv, request.body.day),
  })

  app.post('/api/jobs/take-over', {
    schema: {
      summary: 'Plans the jobs of an earlier day again, at the same times of day',
      body: z.strictObject({
        ...signed,
        day: dayText,
        from: dayText.describe('the day whose list is taken over; the last one before that has a list if not given'),
      }),
      response: { 201: enteredAnswer },
    },
    handler: async (request, reply) => {
      const { by } = request.body
      const day = request.body.day ?? today()
      const days = request.body.from
        ? [request.body.from]
        : Array.from({ length: longestBack }, (_, i) => dayAfter(day, -1 - i))
      let jobs: StandingJob[] = []
      for (const from of days) {
        jobs = await plannedJobsOf(store, from)
        if (jobs.length > 0) break
      }
      if (jobs.length === 0)
        throw new Refused(
          409,
          request.body.from
            ? `No job was planned for ${request.body.from}.`
            : 'No job was planned in the last two weeks.',
          'body "from"',
          'Name a day that has a list.',
        )
      const there = new Set((await plannedJobsOf(store, day)).map(({ job }) => `${job.start} ${job.part}`))
      const planned = jobs
        .map(({ job }) => ({ ...onDay(job, day, zone()), day }))
        .filter(job => !there.has(`${job.start} ${job.part}`))
      await roomFor(planned)
      const added = await actions.planJobs(planned, by)
      request.log.info({ by, day, count: added.length }, 'the jobs of an earlier day were taken over')
      return reply.code(201).send({ added, refused: [] })
    },
  })

  app.put('/api/jobs/:id', {
    schema: {
      summary: 'A planned job becomes another one of the same day',
      params,
      body: z.strictObject({ ...signed, ...oneJob }),
      response: { 200: plannedJob },
    },
    handler: async request => {
      const { by, note, one } = request.body
      const { day, found } = await standing(request.params.id, request.body.day)
      const became = await jobOfOne(one as JobCells, await contextFor(day))
      if (dayOf(became.start, zone()) !== day)
        throw new Refused(409, 'It starts on another day then.', 'body "one", start', 'Withdraw it, and plan it anew.')
      request.log.info({ by, job: found.job.id }, 'a planned job was changed')
      return change(day, found, became, { by, note })
    },
  })

  app.post('/api/jobs/:id/withdraw', {
    schema: {
      summary: 'A planned job is not done; it stays on record',
      params,
      body: z.strictObject({ ...signed, day: dayText }),
      response: { 200: plannedJob },
    },
    handler: async request => {
      const { by, note } = request.body
      const { day, found } = await standing(request.params.id, request.body.day)
      request.log.info({ by, job: found.job.id }, 'a planned job was withdrawn')
      return change(day, found, null, { by, note })
    },
  })

  app.get('/api/jobs/answers', {
    schema: {
      summary: 'What was answered for the jobs of a day, and when',
      querystring: z.object({ day: dayText }),
      response: { 200: answeredAnswer },
    },
    handler: async request => {
      const day = request.query.day ?? today()
      return { day, answers: await store.facts.of('job answer', { subject: day }) }
    },
  })
}
