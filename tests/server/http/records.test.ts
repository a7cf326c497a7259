import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { parse } from 'csv-parse/sync'
import { mean, sampleStandardDeviation } from 'simple-statistics'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { Shop } from '../../../core/shop.js'
import { createPastApp } from '../../../server/http/past-app.js'
import { recordAnswer, recordsAnswer } from '../../../server/http/schemas/records.js'
import { openReader } from '../../../server/store/reader.js'
import { openStore } from '../../../server/store/sqlite.js'
import { sealed } from '../store/sealed.js'
import { mill, shop as plain } from './fakes.js'

const minute = 60_000
const quarter = 15 * minute
const hour = 4 * quarter
const day = 24 * hour
/** October 2025 in Vienna: clocks are put back on the 26th, so that the month has 745 hours */
const from = Date.UTC(2025, 8, 30, 22)
const to = Date.UTC(2025, 9, 31, 23)
const hours = 745
/** two and a half hours without a reading, half of the 10th not believed, and since the 20th another offset */
const gap = { from: from + 5 * day + 10 * minute, to: from + 5 * day + 160 * minute }
const doubted = { from: from + 9 * day + 5 * minute, to: from + 9 * day + 12 * hour + 5 * minute }
const corrected = from + 19 * day

const limits = { band: { lowest: 19.2, highest: 20.8 }, rate: 0.2, swing: 1.5, gradient: 0.4, statedBy: 'builder' }
const shop: Shop = {
  ...plain,
  machines: [{ ...mill, limits }],
  sensors: plain.sensors.map(sensor =>
    sensor.id === 's-air'
      ? { ...sensor, calibration: { date: '2024-10-15', due: '2025-10-15', certificate: 'no. 12' } }
      : sensor,
  ),
}

/** °C; a day's wave that is largest in the middle of the month */
const air = (at: number) =>
  20 +
  Math.sin((2 * Math.PI * at) / day) * Math.sin((Math.PI * (at - from)) / (to - from)) +
  0.001 * ((at / minute) % 7)

/** five minutes every other hour: so few quarter hours have readings that what is finer is read */
const isSeldom = (at: number) => at % (2 * hour) >= 4 * minute && at % (2 * hour) < 9 * minute

const readings = () => {
  const all = []
  for (let at = from - 2 * day; at < to; at += minute) {
    if (at >= gap.from && at < gap.to) continue
    const broken = at >= doubted.from && at < doubted.to
    all.push({ sensor: 's-air', at, value: broken ? 45 : air(at), receivedAt: at })
    all.push({ sensor: 's-screw', at, value: 19.5, receivedAt: at })
    if (isSeldom(at)) all.push({ sensor: 's-column', at, value: air(at), receivedAt: at })
  }
  return all
}

const recorded = async () => {
  const folder = mkdtempSync(join(tmpdir(), 'quiet-iron-'))
  const store = openStore(folder, { shop })
  const all = readings()
  for (let i = 0; i < all.length; i += 5000) store.append(all.slice(i, i + 5000))
  sealed(store)
  const trust = { sensor: 's-air', since: doubted.from }
  await store.facts.record('trust', [
    { ...trust, at: doubted.from, trust: 'suspect', fault: { kind: 'follows the air' }, basis: null },
    { ...trust, at: doubted.to, trust: 'ok', fault: null, basis: null },
  ])
  await store.facts.record('offset', [
    {
      sensor: 's-air',
      at: corrected,
      by: 'Ada',
      note: '',
      oldOffset: 0,
      newOffset: -0.05,
      found: null,
      takesBack: null,
    },
  ])
  const reader = openReader(folder, shop)
  const app = await createPastApp(shop, reader, to + 3 * hour)
  return {
    get: (url: string) => app.inject({ url: `/api/records${url}` }),
    close: async () => {
      await app.close()
      reader.close()
      store.close()
      rmSync(folder, { recursive: true, force: true })
    },
  }
}
let record: Awaited<ReturnType<typeof recorded>>
const get = (url: string) => record.get(url)
beforeAll(async () => {
  record = await recorded()
})
afterAll(() => record.close())

/** What should be known of each quarter hour, from the readings one by one. */
const expected = () => {
  const intervals = new Map<number, number[]>()
  const [doubtFrom, doubtTo] = [Math.floor(doubted.from / quarter), Math.ceil(doubted.to / quarter)]
  for (let at = from - day; at < to; at += minute) {
    const index = Math.floor(at / quarter)
    if ((at >= gap.from && at < gap.to) || (index >= doubtFrom && index < doubtTo)) continue
    intervals.set(index, [...(intervals.get(index) ?? []), air(at) - (at >= corrected ? 0.05 : 0)])
  }
  return new Map([...intervals].map(([index, values]) => [index * quarter, { values, mean: mean(values) }]))
}

describe('the record of a machine over a month in which clocks are put back', () => {
  it('says minimum, maximum, mean, deviation, hours within and outside, gaps, and what it rests on', async () => {
    const reply = await get(`/machine/mill?from=${from}&to=${to}`)
    expect(reply.statusCode).toBe(200)
    const answer = recordAnswer.parse(reply.json())
    expect(answer).toMatchObject({ from, to, interval: quarter, subject: { kind: 'machine', name: 'Mill' } })
    const byAt = expected()
    const within = [...byAt].filter(([at]) => at >= from)
    const [sensor] = answer.sensors
    const values = within.flatMap(([, each]) => each.values)
    const means = within.map(([, each]) => each.mean)
    expect(sensor!.statistics).toMatchObject({
      readings: values.length,
      known: means.length,
      intervals: hours * 4,
    })
    expect(sensor!.statistics.minimum).toBeCloseTo(Math.min(...values), 9)
    expect(sensor!.statistics.maximum).toBeCloseTo(Math.max(...values), 9)
    expect(sensor!.statistics.mean).toBeCloseTo(mean(means), 9)
    expect(sensor!.statistics.standardDeviation).toBeCloseTo(sampleStandardDeviation(means), 9)
    // the gap begins within a quarter hour, which has readings
    expect(sensor!.gaps).toEqual([
      { from: from + 5 * day + quarter, to: from + 5 * day + 150 * minute, why: 'no readings' },
      { from: from + 9 * day, to: from + 9 * day + 12 * hour + quarter, why: 'not believed' },
    ])
    expect(sensor).toMatchObject({ judged: true, overdue: 16, calibration: { certificate: 'no. 12' } })
    expect(sensor!.offsets).toEqual([
      { since: from, offset: 0 },
      { since: corrected, offset: -0.05 },
    ])
    expect(answer.notBelieved).toEqual([{ sensor: 's-air', ...doubted, faults: [{ kind: 'follows the air' }] }])

    // what is seldom known is known to the reading
    const seldom = new Map<number, number[]>()
    for (let at = from; at < to; at += minute)
      if (isSeldom(at) && !(at >= gap.from && at < gap.to))
        seldom.set(Math.floor(at / quarter), [...(seldom.get(Math.floor(at / quarter)) ?? []), air(at)])
    const column = answer.sensors[2]!.statistics
    expect(column).toMatchObject({ readings: [...seldom.values()].flat().length, known: seldom.size })
    expect(column.mean).toBeCloseTo(mean([...seldom.values()].map(mean)), 9)
    expect(column.standardDeviation).toBeCloseTo(sampleStandardDeviation([...seldom.values()].map(mean)), 9)

    // every limit once more, interval by interval
    const count = { band: 0, rate: 0, swing: 0 }
    const any = new Set<number>()
    for (let at = from; at < to; at += quarter) {
      const own = byAt.get(at)?.mean
      if (own === undefined) continue
      const before = byAt.get(at - hour)?.mean ?? Number.NaN
      const last = Array.from({ length: 96 }, (_, k) => byAt.get(at - k * quarter)?.mean).filter(v => v !== undefined)
      const out = {
        band: own < 19.2 || own > 20.8,
        rate: Math.abs(own - before) > 0.2,
        swing: Math.max(...last) - Math.min(...last) > 1.5,
      }
      for (const limit of ['band', 'rate', 'swing'] as const) {
        if (!out[limit]) continue
        count[limit] += quarter
        any.add(at)
      }
    }
    for (const limit of ['band', 'rate', 'swing'] as const) {
      const kept = answer.kept!.limits.find(each => each.limit === limit)!
      expect(count[limit], limit).toBeGreaterThan(hour)
      expect(kept.outside, limit).toBe(count[limit])
      expect(kept.within + kept.outside + kept.notKnown).toBe(hours * hour)
      const excursions = answer.kept!.excursions.filter(each => each.limit === limit)
      expect(excursions.reduce((sum, each) => sum + each.to - each.from, 0)).toBe(count[limit])
    }
    expect(answer.kept!.all.outside).toBe(any.size * quarter)
    // one sensor only, and no position: a gradient is stated but cannot be told
    expect(answer.kept!.withoutPositions).toBe(true)
    expect(sensor!.course.length).toBeLessThanOrEqual(1000)
  })

  it('gives each table as CSV, with the shop’s times beside UTC', async () => {
    const table = async (name: string) => {
      const reply = await get(`/machine/mill?from=${from}&to=${to}&format=csv&table=${name}`)
      expect(reply.headers['content-type']).toMatch(/text\/csv/)
      return parse(reply.body, { columns: true }) as Record<string, string>[]
    }
    const sensors = await table('sensors')
    expect(sensors.map(row => row.sensor)).toEqual(['s-air', 's-screw', 's-column'])
    expect(sensors[0]).toMatchObject({
      daysOverdue: '16',
      certificate: 'no. 12',
      toShopTime: '2025-11-01T00:00:00+01:00',
    })
    // the screw reads half a kelvin less than it should, which the shop file knows
    expect(sensors[1]).toMatchObject({ meanCelsius: '20', standardDeviationKelvin: '0' })
    const limitsTable = await table('limits')
    expect(limitsTable.map(row => row.limit)).toEqual(['band', 'rate', 'swing', 'any'])
    const outside = limitsTable.map(row => Number(row.hoursOutside))
    const excursions = await table('excursions')
    expect(excursions.filter(row => row.limit === 'band').reduce((sum, row) => sum + Number(row.hours), 0)).toBeCloseTo(
      outside[0]!,
      9,
    )
    expect((await table('gaps'))[1]).toMatchObject({ why: 'not believed', hours: '12.25' })
    expect((await table('not-believed'))[0]!.fromShopTime).toBe('2025-10-10T00:05:00+02:00')
    const intervals = (await table('intervals')).filter(row => row.sensor === 's-air')
    expect(intervals.length).toBe(Number(sensors[0]!.intervalsKnown))
    // the hour that clocks repeat is there twice, told apart
    const repeated = intervals.map(row => row.fromShopTime!).filter(time => time.startsWith('2025-10-26T02:00:00'))
    expect(repeated).toEqual(['2025-10-26T02:00:00+02:00', '2025-10-26T02:00:00+01:00'])
  })

  it('says how the limits were kept in the last day, week and month', async () => {
    const answer = recordsAnswer.parse((await get('')).json())
    const [of] = answer.subjects
    expect(answer.subjects).toHaveLength(1)
    // the same time by the shop's clock: the week has 169 hours
    expect(answer.since).toEqual({
      day: to + 3 * hour - day,
      week: to + 3 * hour - 7 * day - hour,
      month: from + 3 * hour,
    })
    const total = (kept: { within: number; outside: number; notKnown: number }) =>
      kept.within + kept.outside + kept.notKnown
    expect([of!.day, of!.week, of!.month].map(total)).toEqual([day, 7 * day + hour, hours * hour])
    // readings ended three hours ago
    expect(of!.day.notKnown).toBeGreaterThanOrEqual(3 * hour)
    const { kept } = recordAnswer.parse((await get(`/machine/mill?from=${answer.since.month}&to=${answer.at}`)).json())
    expect(of!.month).toEqual(kept!.all)
  })

  it('refuses what there is not, and what would be too much at once', async () => {
    expect((await get('/machine/lathe')).json().error).toMatchObject({ where: expect.stringContaining('address') })
    expect((await get('/room/mill')).statusCode).toBe(400)
    const long = await get(`/machine/mill?from=${from - 500 * day}&to=${to}`)
    expect(long.json().error.remedy).toMatch(/a year/)
  })
})
