import { expect, it } from 'vitest'
import { createCalendar, momentOf } from '../../simulators/calendar.js'

it('the wall clock of Vienna, before and after the clocks change', () => {
  const calendar = createCalendar('Europe/Vienna')
  // summer time began on Sunday 2025-03-30 at 01:00 UTC (Directive 2000/84/EC: last Sunday of March, 01:00 UTC)
  expect({ ...calendar(Date.UTC(2025, 2, 30, 0, 30)) }).toMatchObject({ weekday: 7, hour: 1.5 })
  expect({ ...calendar(Date.UTC(2025, 2, 30, 1, 30)) }).toMatchObject({ weekday: 7, hour: 3.5 })
  expect({ ...calendar(Date.UTC(2025, 0, 6, 23, 30)) }).toMatchObject({ weekday: 2, hour: 0.5 })
})

it('day of the year runs from 0, over the change of the year too', () => {
  const calendar = createCalendar('UTC')
  expect(calendar(Date.UTC(2024, 11, 31, 12)).dayOfYear).toBe(365.5)
  expect(calendar(Date.UTC(2025, 0, 1, 12)).dayOfYear).toBe(0.5)
  expect(calendar(Date.UTC(2024, 11, 31, 12)).dayOfYear).toBe(365.5)
})

it('momentOf is the inverse', () => {
  for (const [month, day, hour] of [
    [1, 15, 4.5],
    [7, 18, 13],
    [3, 31, 0.25],
  ] as const) {
    const local = createCalendar('Europe/Vienna')(momentOf('Europe/Vienna', 2024, month, day, hour))
    expect(local.hour).toBeCloseTo(hour, 9)
    expect(local.day).toBe(Date.UTC(2024, month - 1, day) / 86_400_000)
  }
})

it('an unknown zone is refused with a remedy', () => {
  expect(() => createCalendar('Europe/Atlantis')).toThrow(/"Europe\/Atlantis" is not known; use a name like/)
})
