import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { DateTime } from 'luxon'
import { median } from 'simple-statistics'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { Night } from '../../../../core/morning/index.js'
import type { Shop } from '../../../../core/shop.js'
import { createPastApp } from '../../../../server/http/past-app.js'
import { nightAnswer } from '../../../../server/http/schemas/night.js'
import { openReader } from '../../../../server/store/reader.js'
import { openStore } from '../../../../server/store/sqlite.js'
import { nightBegan, nightsLike } from '../../../../server/studies/morning/shifts.js'
import { sensorEveryMinute } from '../../../core/machines.js'
import { mill, shop as plain } from '../../http/fakes.js'
import { sealed } from '../../store/sealed.js'

const minute = 60_000
const quarter = 15 * minute
const hour = 4 * quarter
const day = 24 * hour
const zone = 'Europe/Vienna'
const at = (text: string) => DateTime.fromISO(text, { zone }).toMillis()

/** five weeks before and a week after clocks were put forward, on Sunday 29 March 2026 */
const from = at('2026-02-20T00:00')
const to = at('2026-04-03T12:00')

const every = (id: string, place: Shop['sensors'][number]['at'], more: object = {}) => ({
  ...sensorEveryMinute(id, place),
  interval: 300,
  ...more,
})
const limits = { band: { lowest: 19, highest: 21 }, statedBy: 'invented' }
const shop: Shop = {
  ...plain,
  timeZone: zone,
  machines: [{ ...mill, limits }],
  areas: [{ id: 'hall', name: 'Hall', sensors: ['hall'], limits }],
  sensors: [
    every('hall', { kind: 'shop air' }),
    every('yard', { kind: 'outdoors' }),
    every('s-air', { kind: 'node', machine: 'mill', node: 'air' }),
    every('s-screw', { kind: 'node', machine: 'mill', node: 'x-screw' }),
    every('s-column', { kind: 'node', machine: 'mill', node: 'column' }),
    every('s-door', { kind: 'source', source: 'door' }, { unit: 'state' }),
  ],
}

const hourly = new Map<number, { hours: number; weekday: number; date: number }>()
/** the wall clock, looked up once an hour */
const wall = (moment: number) => {
  const begin = Math.floor(moment / hour) * hour
  let found = hourly.get(begin)
  if (!found) {
    const { hour: hours, weekday, year, month, day: date } = DateTime.fromMillis(begin, { zone })
    found = { hours, weekday, date: Date.UTC(year, month - 1, date) / day }
    hourly.set(begin, found)
  }
  return { ...found, hours: found.hours + (moment - begin) / hour }
}
/** each day has air of its own, so that a median says something */
const own = (moment: number) => 0.3 * Math.sin(2.3 * wall(moment).date)

const lateFrom = at('2026-03-31T00:00')
/** °C; set back at 20:00 and on again at 05:00 of working days, at once for simplicity, by the wall clock */
const hallAt = (moment: number): number => {
  const { hours, weekday } = wall(moment)
  const isWorkday = weekday <= 5
  const late = moment >= lateFrom && moment < lateFrom + 12 * hour ? 1 : 0
  const since = hours - 5 - late
  const above = isWorkday && since > 0 && hours < 20 ? 1 - Math.exp(-since / 0.7) : 0
  const falling = isWorkday && hours >= 20 ? Math.exp(-(hours - 20) / 0.9) : 0
  return 17 + 3 * Math.max(above, falling) + own(moment)
}
const yardAt = (moment: number) =>
  5 + own(moment) - (moment > lateFrom + 4 * hour && moment < lateFrom + 5 * hour ? 6 : 0)
/** the contact of the door tells "open" all the time, and is not believed */
const stuck = { from: at('2026-03-26T22:00'), to: at('2026-03-27T01:00') }
const doorAt = (moment: number) =>
  (moment >= stuck.from && moment < stuck.to) ||
  (moment >= lateFrom + 5.5 * hour && moment < lateFrom + 7 * hour) ||
  wall(moment).hours === 6
    ? 1
    : 0
const gap = { from: at('2026-03-31T01:00'), to: at('2026-03-31T02:00') }
const doubted = { from: at('2026-03-31T03:00'), to: at('2026-03-31T04:30') }
/** another night: its last reading is of five minutes before, and it is found lost some time after */
const silent = { from: at('2026-03-26T02:00'), found: at('2026-03-26T02:20'), to: at('2026-03-26T04:00') }

const readings = () => {
  const all: { sensor: string; at: number; value: number; receivedAt: number }[] = []
  for (let moment = from; moment < to; moment += 5 * minute) {
    const push = (sensor: string, value: number) => all.push({ sensor, at: moment, value, receivedAt: moment })
    const hall = hallAt(moment)
    push('hall', hall)
    const isSilent = [gap, silent].some(each => moment >= each.from && moment < each.to)
    if (!isSilent) push('yard', yardAt(moment))
    push('s-air', hall)
    push('s-screw', hall - (wall(moment).hours < 12 ? 0 : 0.2))
    push('s-column', moment >= doubted.from && moment < doubted.to ? 60 : 20)
    push('s-door', doorAt(moment))
  }
  return all
}

const stored = async () => {
  const folder = mkdtempSync(join(tmpdir(), 'quiet-iron-'))
  const store = openStore(folder, { shop })
  const all = readings()
  for (let i = 0; i < all.length; i += 5000) store.append(all.slice(i, i + 5000))
  sealed(store)
  const trust = { sensor: 's-column', since: doubted.from }
  const yard = { sensor: 'yard', since: silent.found }
  const again = { fault: null, basis: null, trust: 'ok' } as const
  await store.facts.record('trust', [
    { ...yard, at: silent.found, trust: 'lost', fault: { kind: 'silent', interval: 300 }, basis: null },
    { ...yard, at: silent.to, ...again },
    // for some minutes only
    { ...trust, at: silent.to, trust: 'suspect', fault: { kind: 'follows the air' }, basis: null },
    { ...trust, at: silent.to + 10 * minute, ...again },
    { ...trust, at: doubted.from, trust: 'suspect', fault: { kind: 'follows the air' }, basis: null },
    { ...trust, at: doubted.to, ...again },
    {
      sensor: 's-door',
      since: stuck.from,
      at: stuck.from,
      trust: 'suspect',
      fault: { kind: 'clock', behind: 7200 },
      basis: null,
    },
    { sensor: 's-door', since: stuck.from, at: stuck.to, ...again },
  ])
  return {
    async study(now: number) {
      const reader = openReader(folder, shop)
      const app = await createPastApp(shop, reader, now)
      const reply = await app.inject({ url: '/api/morning/night' })
      await app.close()
      reader.close()
      expect(reply.statusCode).toBe(200)
      return nightAnswer.parse(reply.json())
    },
    close() {
      store.close()
      rmSync(folder, { recursive: true, force: true })
    },
  }
}
let past: Awaited<ReturnType<typeof stored>>
beforeAll(async () => {
  past = await stored()
})
afterAll(() => past.close())

/** the mean of the readings of the quarter hour about a moment */
const meanAt = (middle: number) =>
  [-1, 0, 1].reduce((sum, k) => sum + hallAt(middle + k * 5 * minute - 2.5 * minute), 0) / 3

const airOf = (night: Night | null, id: string) => night!.airs.find(each => each.id === id)!

describe('nights of the same kind', () => {
  it('are the last fourteen that led to a working day, or to a Monday, or to the same day of a weekend', () => {
    const days = (now: string) => {
      const end = at(now)
      const began = nightBegan({ timeZone: zone }, end)
      return nightsLike({ timeZone: zone }, { from: began, to: end }).map(each =>
        DateTime.fromMillis(each.to, { zone }).toFormat('ccc d LLL'),
      )
    }
    // Tuesday to Friday, the newest first
    expect(days('2026-04-02T07:00')).toHaveLength(14)
    expect(days('2026-04-02T07:00').slice(0, 5)).toEqual([
      'Wed 1 Apr',
      'Tue 31 Mar',
      'Fri 27 Mar',
      'Thu 26 Mar',
      'Wed 25 Mar',
    ])
    expect(days('2026-03-30T07:00').slice(0, 3)).toEqual(['Mon 23 Mar', 'Mon 16 Mar', 'Mon 9 Mar'])
    expect(days('2026-03-29T07:00').slice(0, 2)).toEqual(['Sun 22 Mar', 'Sun 15 Mar'])
    expect(days('2026-03-28T07:00').slice(0, 2)).toEqual(['Sat 21 Mar', 'Sat 14 Mar'])
  })
})

describe('the night from what is stored', () => {
  it('lies on the usual one hour by hour of the wall clock, over a weekend in which clocks were put forward', async () => {
    const now = at('2026-03-30T07:05')
    const { night } = await past.study(now)
    expect([night!.from, night!.to]).toEqual([at('2026-03-27T18:00'), at('2026-03-30T07:00')])
    const { course, usual, nights } = airOf(night, 'shop-air')
    // 61 hours by the clock, of which one was none
    expect(course.at).toHaveLength(4 * 60)
    for (const [i, moment] of course.at.entries()) expect(course.value[i]).toBeCloseTo(meanAt(moment), 3)
    // Mondays since the beginning: 23, 16, 9 and 2 March, and 23 February of which Friday evening is stored too
    expect(nights).toBe(5)
    usual!.at.forEach((moment, i) => {
      const same = [1, 2, 3, 4, 5].map(weeks =>
        meanAt(DateTime.fromMillis(moment, { zone }).minus({ weeks }).toMillis()),
      )
      expect(usual!.median[i], DateTime.fromMillis(moment, { zone }).toISO()!).toBeCloseTo(median(same), 3)
    })
    for (const [moment, text] of [
      [night!.setback!.back, '2026-03-30T05:00'],
      [night!.setback!.usualBack, '2026-03-30T05:00'],
      [night!.setback!.began, '2026-03-27T20:00'],
    ] as const)
      expect(Math.abs(moment! - at(text)) / minute, text).toBeLessThanOrEqual(12)
    expect(night!.unusual).toEqual([])
  })

  it('says what was unusual, which sensors failed, what was open, what had gaps, and what lay outside the limits', async () => {
    const { night, machines, gaps } = await past.study(at('2026-03-31T07:00'))
    expect(night!.unusual.map(({ kind }) => kind)).toEqual(['heating', 'open', 'air', 'outdoors'])
    const [heating, open, hall, outdoors] = night!.unusual
    if (heating?.kind !== 'heating') throw new Error('no heating')
    expect(Math.abs((heating.back! - heating.usual) / hour - 1)).toBeLessThan(0.2)
    expect(heating.air).toBeCloseTo(meanAt(at('2026-03-31T06:52:30')), 3)
    // the usual one and those of 06:00 last five minutes, and what a sensor told stands until it tells again
    expect(open).toMatchObject({ source: 'door', for: 5400, usual: 300, still: true })
    // that of the shop air is said with the heating
    expect(hall).toMatchObject({ kind: 'air', name: 'Hall' })
    expect(outdoors).toMatchObject({ kind: 'outdoors', ofNights: 14 })
    expect(night!.sources).toEqual([
      { source: 'door', active: [{ from: at('2026-03-31T05:30'), to: at('2026-03-31T07:00') }] },
    ])
    expect(night!.failed).toEqual([{ sensor: 's-column', ...doubted }])
    expect(gaps).toEqual([{ sensor: 'yard', ...gap }])
    const outside = [...airOf(night, 'hall').course.value].filter(value => value! < 19 || value! > 21).length
    expect(airOf(night, 'hall').outside).toBe(outside * 900)
    expect(night!.machines[0]!.outside).toBe(outside * 900)
    expect(airOf(night, 'shop-air').outside).toBeNull()
    expect(machines[0]!.machine).toBe('mill')
  })

  it('says that a silent sensor failed since its last reading, and leaves out what was over in minutes', async () => {
    const { night } = await past.study(at('2026-03-26T07:00'))
    expect(night!.failed).toEqual([{ sensor: 'yard', from: silent.from - 5 * minute, to: silent.to }])
  })

  it('takes no door for open because a contact says so that is not believed', async () => {
    const { night } = await past.study(at('2026-03-27T07:00'))
    expect(night!.sources).toEqual([
      { source: 'door', active: [{ from: at('2026-03-27T06:00'), to: at('2026-03-27T06:05') }] },
    ])
    expect(night!.unusual.map(({ kind }) => kind)).not.toContain('open')
  })

  it('tells what a machine grew, its swing and the usual one', async () => {
    const now = at('2026-04-01T07:00')
    const { machines, night } = await past.study(now)
    const [{ axes }] = machines as [(typeof machines)[number]]
    // the X screw alone moves, by steel's 11.5 µm/m/K on the 0.4 m from its bearing
    const screw = (middle: number) => 11.5e-6 * 0.4 * (meanAt(middle) - (wall(middle).hours < 12 ? 0 : 0.2))
    const swingOf = (end: number) => {
      const values = []
      for (let moment = end - 13 * hour + quarter / 2; moment < end; moment += quarter) values.push(screw(moment))
      return Math.max(...values) - Math.min(...values)
    }
    expect(axes[0]!.axis).toBe('X')
    expect(axes[0]!.swing).toBeCloseTo(swingOf(now), 9)
    const like = nightsLike(shop, { from: at('2026-03-31T18:00'), to: now })
    expect(axes[0]!.usualSwing).toBeCloseTo(median(like.map(each => swingOf(each.to))), 9)
    const growth = night!.machines[0]!.axes[0]!.growth
    expect(growth.value.at(-1)).toBeCloseTo(screw(now - quarter / 2) - screw(at('2026-03-31T18:07:30')), 9)
    expect(axes[0]!.growth).toBe(growth.value.at(-1))
  })

  it('of a first morning is told without anything usual, and before anything is stored there is none', async () => {
    const first = await past.study(at('2026-02-21T07:00'))
    expect(airOf(first.night, 'shop-air')).toMatchObject({ usual: null, nights: 0 })
    expect(first.night!.unusual).toEqual([])
    expect(first.machines[0]!.axes[0]!.usualSwing).toBeNull()
    const before = await past.study(from - 3 * day)
    expect(before.night).toBeNull()
    expect(before.gaps).toEqual([])
  })
})
