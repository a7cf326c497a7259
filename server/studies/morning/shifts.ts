import { DateTime } from 'luxon'
import type { Shift, Shop } from '../../../core/shop.js'
import { joinedSpans, type Span } from '../../history/index.js'
import { zoneOf } from '../../zone.js'

const hour = 3_600_000
const wholeDay = 24 * hour
/** ms; a shorter break between shifts is no night */
const shortest = 2 * hour
/** days; further back no shift is looked for: a holiday of three weeks has an end */
const reach = 22

/** What a shop works that says nothing of it. */
export const defaultShifts: Shift[] = [{ days: [1, 2, 3, 4, 5], from: 6 * 60, to: 18 * 60 }]

/** A moment by the wall clock: so many days from another day, so many minutes after midnight (1440 and more: later days). */
const wallMoment = (day: DateTime, days: number, minutes: number): number =>
  day
    .startOf('day')
    .plus({ days: days + Math.floor(minutes / 1440) })
    .set({ hour: Math.floor((minutes % 1440) / 60), minute: minutes % 60 })
    .toMillis()

/**
 * The shifts about a moment, those joined that have less than two hours between them, in order of time. Times are the wall
 * clock's: over a clock change a shift is an hour longer or shorter.
 *
 * @param at ms
 * @param back days before it that are looked at
 */
export const shiftsAbout = (
  { shifts = defaultShifts, timeZone }: Pick<Shop, 'shifts' | 'timeZone'>,
  at: number,
  back = reach,
): Span[] => {
  const today = DateTime.fromMillis(at, { zone: zoneOf(timeZone) })
  const all: Span[] = []
  for (let days = -back; days <= 8; days++) {
    const { weekday } = today.startOf('day').plus({ days })
    for (const shift of shifts) {
      if (!shift.days.includes(weekday)) continue
      const to = shift.to > shift.from ? shift.to : shift.to + 1440
      all.push({ from: wallMoment(today, days, shift.from), to: wallMoment(today, days, to) })
    }
  }
  return joinedSpans(all, shortest)
}

/** ms; so long after a shift's end the night before it is still the one to look at */
const lookedBackOn = 4 * hour
/** ms; where nobody ever stops, the last hours are looked at */
const withoutEnd = 12 * hour

/**
 * When the night that is to be looked at began: the end of the last shift that is over for four hours at least, so that
 * what was shown in the morning is still there in the evening.
 *
 * @param now ms
 * @param shifts about that moment
 * @returns ms; twelve hours ago where shifts follow each other without an end
 */
export const nightBegan = (
  shop: Pick<Shop, 'shifts' | 'timeZone'>,
  now: number,
  shifts: readonly Span[] = shiftsAbout(shop, now),
): number => shifts.findLast(({ to }) => to <= now - lookedBackOn)?.to ?? now - withoutEnd

/** The shift that is going on, or else the coming one. @param now ms */
export const shiftOfDay = (shop: Pick<Shop, 'shifts' | 'timeZone'>, now: number): Span | null =>
  shiftsAbout(shop, now).find(({ to }) => to > now) ?? null

/** Another night that a night is compared with. */
export interface LikeNight extends Span {
  /** the moment in it at which the wall clock showed the same as at a moment (ms) of this night */
  then(at: number): number
}

/** so many nights make the usual one, and as far back as so many Mondays they are looked for, days */
const mostNights = 14
const longestBack = 7 * mostNights

type Kind = 'weekday' | 'weekend' | 'Monday'
const kindOf = (weekday: number): Kind => (weekday >= 6 ? 'weekend' : weekday === 1 ? 'Monday' : 'weekday')

/**
 * The last 14 nights of the same kind, the newest first: those that led to a weekday, to a day of the weekend or to a
 * Monday as this one does, and began as many days before. All times are the wall clock's, so that a night over a clock
 * change is compared hour by hour of the clock.
 *
 * @param night from its shift's end to now, ms
 */
export const nightsLike = (shop: Pick<Shop, 'shifts' | 'timeZone'>, { from, to }: Span): LikeNight[] => {
  const zone = zoneOf(shop.timeZone)
  const local = (at: number) => DateTime.fromMillis(at, { zone })
  const daysBetween = (one: number, other: number) =>
    Math.round(local(other).startOf('day').diff(local(one).startOf('day'), 'days').days)
  const length = daysBetween(from, to)
  // an evening belongs to the day it leads to
  const kindAt = (moment: number) => kindOf(local(moment).plus({ days: length === 0 ? 1 : 0 }).weekday)
  const shifts = shiftsAbout(shop, to, longestBack + reach)
  const found: LikeNight[] = []
  for (let days = 1; days <= longestBack && found.length < mostNights; days++) {
    const then = (at: number) => {
      const before = at - days * wholeDay
      // between two moments of one offset a day has 24 hours: asked for each quarter of an hour of each night
      return zone.offset(before) === zone.offset(at) ? before : local(at).minus({ days }).toMillis()
    }
    const end = then(to)
    if (kindAt(end) !== kindAt(to)) continue
    const began = nightBegan(shop, end, shifts)
    if (daysBetween(began, end) === length) found.push({ from: then(from), to: end, then })
  }
  return found
}
