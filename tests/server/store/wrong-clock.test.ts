import { setTimeout as pause } from 'node:timers/promises'
import { pino } from 'pino'
import { describe, expect, it, onTestFinished } from 'vitest'
import type { Reading } from '../../../server/ingest/reading.js'
import { pruning } from '../../../server/pruning.js'
import { openStore } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'

const start = Date.UTC(2026, 0, 15)
const day = 86_400_000
const minute = 60_000
const years = 5 * 365 * day
const retention = { readingDays: 3, minuteDays: 5, quarterHourDays: 8 }

const open = (folder = temporaryFolder()) => {
  const store = openStore(folder, { retention })
  onTestFinished(() => store.close())
  return store
}
/** a reading every ten minutes of a day that began so many days after the start */
const ofDay = (number: number): Reading[] =>
  Array.from({ length: 144 }, (_, i) => {
    const at = start + number * day + i * 10 * minute
    return { sensor: 'a', at, value: i, receivedAt: at }
  })
/** the store lives so many days, of its clock that is right, with a look at what is too old every evening */
const live = (store: ReturnType<typeof open>, from: number, to: number) => {
  let deleted = 0
  for (let number = from; number < to; number++) {
    store.append(ofDay(number))
    const evening = start + (number + 1) * day - 1
    store.noteDay(evening)
    deleted += store.pruneSome(evening, Number.POSITIVE_INFINITY)
  }
  return deleted
}
const readings = (store: ReturnType<typeof open>) => [...store.readings(0, Number.POSITIVE_INFINITY)].flat().length
const summarised = (store: ReturnType<typeof open>) =>
  store.series('a', 0, start + 2 * years, 1).points.reduce((sum, { count }) => sum + count, 0)

describe('a clock that is set years ahead', () => {
  it('deletes nothing, and what comes with its own right time is still taken', () => {
    const store = open()
    live(store, 0, 6)
    const before = [readings(store), summarised(store), store.keptSince()]
    // another wrong time at each start, as of a computer whose clock has no battery
    for (const ahead of [years, 2 * years, 300 * day, 3 * years, 4 * years, years + 30 * day, 5 * years]) {
      const wrong = start + 6 * day + ahead
      expect(store.noteDay(wrong)).not.toBe(0)
      expect(store.pruneSome(wrong, Number.POSITIVE_INFINITY)).toBe(0)
      expect(store.deletedBefore(wrong)).toBeLessThanOrEqual(start + 3 * day)
    }
    expect([readings(store), summarised(store), store.keptSince()]).toEqual(before)
    expect(store.append(ofDay(6))).toHaveLength(144)
  })

  it('and stays so deletes no more each day than a right one', () => {
    const store = open()
    live(store, 0, 6)
    const wrong = start + 6 * day + years
    for (let days = 0; days < 4; days++) {
      const before = readings(store)
      store.noteDay(wrong + days * day)
      store.pruneSome(wrong + days * day, Number.POSITIVE_INFINITY)
      expect(before - readings(store)).toBeLessThanOrEqual(144)
    }
    expect(readings(store)).toBeGreaterThan(0)
  })

  it('which goes right again leaves nothing behind: the oldest day goes, as on any other evening', () => {
    const [wrong, right] = [open(), open()]
    for (const store of [wrong, right]) live(store, 0, 6)
    wrong.noteDay(start + 6 * day + years)
    wrong.pruneSome(start + 6 * day + years, Number.POSITIVE_INFINITY)
    for (const store of [wrong, right]) live(store, 6, 9)
    expect([readings(wrong), summarised(wrong), wrong.keptSince()]).toEqual([
      readings(right),
      summarised(right),
      right.keptSince(),
    ])
  })

  it('at the very first start of a program that notes days deletes nothing either', () => {
    const folder = temporaryFolder()
    const before = openStore(folder, { retention })
    for (let number = 0; number < 6; number++) before.append(ofDay(number))
    before.close()
    const store = open(folder)
    const wrong = start + 6 * day + years
    store.noteDay(wrong)
    // three of the six days, by the calendar of the readings: what the evening before would have left
    store.pruneSome(wrong, Number.POSITIVE_INFINITY)
    expect(readings(store)).toBeGreaterThanOrEqual(3 * 144)
    // the same without the days: everything goes
    const calendar = open()
    for (let number = 0; number < 6; number++) calendar.append(ofDay(number))
    calendar.pruneSome(wrong, Number.POSITIVE_INFINITY)
    expect(readings(calendar)).toBe(0)
  })

  it('is a line in the log, once, and the service’s hourly look deletes nothing', async () => {
    const store = open()
    live(store, 0, 6)
    const before = readings(store)
    let now = start + 6 * day - 1
    const lines: string[] = []
    const log = pino({ level: 'info' }, { write: (line: string) => lines.push(JSON.parse(line).msg) })
    const end = pruning(store, () => now, log, 5)
    onTestFinished(end)
    await pause(30)
    expect(lines).toEqual([])
    now += years
    for (let waited = 0; lines.length === 0 && waited < 1000; waited++) await pause(5)
    await pause(50)
    expect(lines).toHaveLength(1)
    expect(lines[0]).toMatch(/^By the clock the service has not run for 1825 days\. Nothing is deleted/)
    expect(readings(store)).toBe(before)
  })
})

it('a service that was away for a month keeps what it had, and lets go of it day by day once it lives on', () => {
  const store = open()
  live(store, 0, 6)
  const before = readings(store)
  const back = 36
  live(store, back, back + 1)
  expect(readings(store)).toBe(before + 144)
  live(store, back + 1, back + 5)
  // three whole days and the one that ends
  expect(readings(store)).toBe(4 * 144)
})
