import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { DateTime } from 'luxon'
import { z } from 'zod'
import { type Interval, type RecordSubject, recordSubjects } from '../../../core/environment/index.js'
import { type EnvironmentRecord, environmentRecord, limitsKeptSince } from '../../studies/records/record.js'
import { readerOf } from '../in-words.js'
import { known } from '../known.js'
import type { AppParts } from '../parts.js'
import { recordCsv, recordTables } from '../record-tables.js'
import { Refused } from '../refused.js'
import { recordAnswer, recordsAnswer } from '../schemas/records.js'
import { day, spanOf, spanQuery, unitsQuery } from '../span.js'
import { formatQuery, jsonOrCsv, sendCsv } from '../table-out.js'
import { placeInWords } from './sensors.js'

/** a year with its neighbours' days; more is asked for in parts */
const longest = 400 * day
/** of a chart, for each sensor */
const chartPoints = 1000

/** thousandths of a kelvin are finer than a chart shows */
const rounded = (value: number) => Math.round(value * 1000) / 1000

/** Means of so many intervals at a time that a chart has no more than it can show. */
const course = (intervals: readonly (Interval | null)[], from: number, width: number) => {
  const together = Math.ceil(intervals.length / chartPoints)
  const points = []
  for (let i = 0; i < intervals.length; i += together) {
    const known = intervals.slice(i, i + together).filter(each => each !== null)
    if (known.length === 0) continue
    points.push({
      at: from + (i + together / 2) * width,
      mean: rounded(known.reduce((sum, { mean }) => sum + mean, 0) / known.length),
      low: rounded(Math.min(...known.map(({ min }) => min))),
      high: rounded(Math.max(...known.map(({ max }) => max))),
    })
  }
  return points
}

const named = ({ kind, id, name }: RecordSubject) => ({ kind, id, name })

const answerOf = (record: EnvironmentRecord, subject: RecordSubject, { shop }: AppParts) => ({
  from: record.from,
  to: record.to,
  interval: record.interval,
  subject: named(subject),
  limits: subject.limits,
  kept: record.kept,
  sensors: record.sensors.map(({ sensor, intervals, ...more }) => ({
    sensor: sensor.id,
    name: sensor.name,
    place: placeInWords(sensor, shop),
    ...more,
    calibration: sensor.calibration ?? null,
    uncertainty: sensor.uncertainty,
    reportInterval: sensor.interval,
    course: more.judged ? course(intervals, record.from, record.interval) : [],
  })),
  notBelieved: record.notBelieved,
})

export const recordsRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { shop, clock } = parts

  app.get('/api/records', {
    config: { costs: 'computation' },
    schema: {
      summary: 'How the stated limits of machines and areas were kept in the last day, week and month',
      response: { 200: recordsAnswer },
    },
    handler: async () => {
      const now = clock()
      const before = (length: object) => DateTime.fromMillis(now, { zone: shop.timeZone }).minus(length).toMillis()
      const since = { day: before({ days: 1 }), week: before({ weeks: 1 }), month: before({ months: 1 }) }
      const all = await limitsKeptSince(parts, recordSubjects(shop), [since.month, since.week, since.day], now)
      const subjects = all.map(({ subject, kept, newest }) => ({
        ...named(subject),
        limits: subject.limits!,
        day: kept[2]!,
        week: kept[1]!,
        month: kept[0]!,
        newest,
      }))
      return { at: now, since, subjects }
    },
  })

  app.get('/api/records/:kind/:id', {
    config: { costs: 'computation' },
    schema: {
      summary: 'The record of a machine or an area over a period: statistics, limits, gaps, and what it rests on',
      params: z.object({
        kind: z.enum(['machine', 'area']),
        id: z.string().describe('of the shop file; also shop-air, or beside- and the id of a source'),
      }),
      querystring: z.object({
        ...spanQuery,
        ...formatQuery,
        ...unitsQuery,
        table: z.enum(recordTables).default('sensors').describe('which table, where CSV is asked for'),
      }),
      response: { 200: jsonOrCsv(recordAnswer) },
    },
    handler: async (request, reply) => {
      const { kind, id } = request.params
      const subjects = recordSubjects(shop).filter(each => each.kind === kind)
      const subject = known(kind, subjects, id, `the address, after /api/records/${kind}/`)
      const now = clock()
      const span = spanOf(request.query, now, 30 * day)
      if (span.to - span.from > longest)
        throw new Refused(
          400,
          'The span is longer than 400 days.',
          'query "from" and "to"',
          'Ask for a year, or less, at a time.',
        )
      const record = await environmentRecord(parts, subject, span, now)
      if (request.query.format === 'json') return answerOf(record, subject, parts)
      const reader = readerOf(shop, request.query, now)
      return sendCsv(reply, recordCsv(record, request.query.table, reader, shop.timeZone))
    },
  })
}
