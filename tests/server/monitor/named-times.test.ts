import { describe, expect, it } from 'vitest'
import { extraOf } from '../../../core/judge/index.js'
import type { FitByOutcome } from '../../../core/state.js'
import { NamedTimes, pastOf } from '../../../server/monitor/named-times.js'

const minute = 60_000
const hour = 60 * minute
const start = Date.UTC(2026, 0, 12, 6)

const nothing = () => ({ past: { since: null, late: [], kept: [] } })

/** Times found one after the other, each an hour ahead; fit comes so many minutes after each of them, null: never. */
const found = (late: readonly (number | null)[]): FitByOutcome[] =>
  late.map((each, i) => {
    const [named, at] = [start + i * hour, start + (i + 1) * hour]
    const came = each === null ? null : at + each * minute
    return { machine: 'mill', workClass: 'bores', at, named, found: at, fitBy: at, shown: true, came }
  })
const tenOf = (each: number | null) => found(new Array(10).fill(each))
const knowing = (outcomes: readonly FitByOutcome[]) => {
  const times = new NamedTimes(nothing())
  times.past = pastOf(outcomes)
  return times
}

describe('how much later than found a time is named', () => {
  it('is the quantile that nine of ten, and one more, stay below', () => {
    // ten times: the tenth smallest; nineteen: ⌈0.9 × 20⌉ = the eighteenth
    expect(extraOf([9, 1, 2, 3, 4, 5, 6, 7, 8, 600])).toBe(600)
    expect(extraOf(Array.from({ length: 19 }, (_, i) => i + 1))).toBe(18)
    expect(extraOf([-60, -50, -40])).toBe(0)
    expect(extraOf([60, Number.POSITIVE_INFINITY])).toBeNull()
  })
})

describe('the record of times named', () => {
  it('names nothing while little is known, and counts each time once, however often it is found again', () => {
    const times = new NamedTimes(nothing())
    expect(times.name(start + hour, start)).toBeNull()
    times.look('fit', start + 50 * minute)
    expect(times.record).toEqual({ kept: 0, of: 0 })
    expect(times.asFound).toEqual({ kept: 1, of: 1 })
    expect(times.takeOutcomes()).toMatchObject([{ fitBy: null, shown: false, came: start + 50 * minute }])
    times.past = pastOf(tenOf(-5))
    const now = start + 30 * hour
    expect(times.name(now + hour, now)).toBe(now + hour)
    times.name(now + hour + minute, now + minute)
    times.look('settling', now + 2 * minute)
    expect(times.record).toEqual({ kept: 10, of: 10 })
    times.look('fit', now + 50 * minute)
    expect(times.record).toEqual({ kept: 11, of: 11 })
    const [named, found, came] = [now, now + hour, now + 50 * minute]
    expect(times.takeOutcomes()).toEqual([{ at: came, named, found, fitBy: found, shown: true, came }])
    expect(times.takeOutcomes()).toEqual([])
  })

  it('names nothing in the first day, however many waits there were', () => {
    const times = knowing(tenOf(-5))
    expect(times.isFirstDay(start + 23 * hour)).toBe(true)
    expect(times.name(start + 24 * hour, start + 23 * hour)).toBeNull()
    expect(times.isFirstDay(start + 24 * hour)).toBe(false)
    expect(times.name(start + 26 * hour, start + 24 * hour)).toBe(start + 26 * hour)
    // that of the shop counts where the first time is found here
    const shop = { past: pastOf(tenOf(-5)) }
    expect(new NamedTimes(shop).name(start + 26 * hour, start + 24 * hour)).toBe(start + 26 * hour)
  })

  it('counts a time as not kept when it is over, and says when fit came after all', () => {
    const times = knowing(tenOf(-5))
    const now = start + 30 * hour
    times.name(now + hour, now)
    times.look('settling', now + hour + minute)
    expect(times.record).toEqual({ kept: 10, of: 11 })
    expect(times.takeOutcomes()).toEqual([])
    times.look('fit', now + 2 * hour)
    expect(times.takeOutcomes()).toMatchObject([{ came: now + 2 * hour }])
    expect(times.record).toEqual({ kept: 10, of: 11 })
    times.name(now + 4 * hour, now + 3 * hour)
    times.look('unfit', now + 29 * hour)
    expect(times.takeOutcomes()).toMatchObject([{ came: null }])
  })

  it('takes all that was found in one wait for one, by that which was too early by most', () => {
    const times = new NamedTimes(nothing())
    const before = start - hour
    for (let i = 0; i < 12; i++) {
      const now = before + i * 20 * minute
      times.name(now + 10 * minute, now)
      times.look('settling', now)
    }
    const came = before + 12 * 20 * minute
    times.look('fit', came)
    const lateness = (came - (before + 10 * minute)) / 1000
    expect(times.past.late).toEqual([lateness])
    const outcomes = times.takeOutcomes()
    expect(outcomes).toHaveLength(12)
    const onRecord = outcomes.map(each => ({ machine: 'mill', workClass: 'bores', ...each }))
    expect(pastOf(onRecord).late).toEqual([lateness])
    // of two machines beside each other, each has its own
    const both = onRecord.flatMap(each => [each, { ...each, machine: 'lathe' }])
    expect(pastOf(both).late).toEqual([lateness, lateness])
  })

  it('counts a wait that was not over by the longest that is added once, until work is fit again', () => {
    const times = new NamedTimes(nothing())
    for (let i = 0; i < 6; i++) times.name(start + i * hour, start + i * hour - minute)
    for (let i = 8; i < 20; i++) times.look('settling', start + i * hour + minute)
    expect(times.past.late).toEqual([Number.POSITIVE_INFINITY])
    times.look('fit', start + 30 * hour)
    times.name(start + 30 * hour, start + 29 * hour)
    times.look('fit', start + 29.5 * hour)
    expect(times.past.late).toEqual([Number.POSITIVE_INFINITY, -1800])
  })

  it('counts nothing where nothing was known by then', () => {
    const times = knowing(tenOf(-5))
    const now = start + 30 * hour
    times.name(now + hour, now)
    times.look('unknown', now + 30 * minute)
    times.look('fit', now + 2 * hour)
    expect(times.record).toEqual({ kept: 10, of: 10 })
    expect(times.takeOutcomes()).toEqual([])
  })

  it('names times as much later as those before came later, and none where too many did not come at all', () => {
    const now = start + 40 * hour
    expect(knowing(tenOf(25)).name(now + hour, now)).toBe(null)
    expect(knowing(tenOf(-5)).name(now + hour, now)).toBe(now + hour)
    const named = tenOf(25).map(each => ({ ...each, fitBy: each.found + 30 * minute }))
    expect(knowing(named).name(now + hour, now)).toBe(now + hour + 25 * minute)
    expect(knowing(tenOf(null)).name(now + hour, now)).toBe(null)
  })

  it('names one again once those that were only found come true', () => {
    const times = knowing(tenOf(null))
    for (let i = 0; i < 60; i++) {
      const now = start + (20 + 2 * i) * hour
      times.name(now + hour, now)
      times.look('fit', now + 50 * minute)
    }
    const now = start + 200 * hour
    expect(times.takeOutcomes().filter(({ shown }) => !shown).length).toBeGreaterThan(20)
    expect(times.asFound).toEqual({ kept: 30, of: 30 })
    expect(times.name(now + hour, now)).not.toBeNull()
  })

  it('goes by the whole shop where little is known of here', () => {
    const shop = { past: pastOf(tenOf(null)) }
    const now = start + 30 * hour
    expect(new NamedTimes(shop).name(now + hour, now)).toBeNull()
    const here = new NamedTimes(shop)
    here.past = pastOf(tenOf(-5))
    expect(here.name(now + hour, now)).toBe(now + hour)
  })
})
