import { expect, it } from 'vitest'
import { appFor, everyMinute, local, now } from './fakes.js'

const hour = 3_600_000

it('gives the last day of every sensor in half hours, offsets applied, gaps as null', async () => {
  const { app, store } = await appFor()
  store.kept.set(
    's-screw',
    everyMinute(now - 24 * hour, now - 2 * hour, at => 20 + (at - now) / hour),
  )
  store.kept.set(
    's-door',
    everyMinute(now - 24 * hour, now, at => (at % hour < 1_800_000 ? 1 : 0)),
  )
  const reply = await app.inject({ url: '/api/sensors/courses', headers: local })
  expect(reply.statusCode).toBe(200)
  const { from, width, courses } = reply.json()
  expect([from, width]).toEqual([now - 24 * hour, hour / 2])
  const of = (id: string) => courses.find((c: { sensor: string }) => c.sensor === id).values
  expect(courses).toHaveLength(4)
  expect(of('s-screw')).toHaveLength(48)
  // the file's offset of 0.5 K, and the middle of the thirty readings of that half hour
  expect(of('s-screw')[0]).toBeCloseTo(20.5 - 24 + 14.5 / 60, 2)
  expect(of('s-screw').slice(-4)).toEqual([null, null, null, null])
  expect(of('s-door').slice(0, 4)).toEqual([1, 0, 1, 0])
  expect(of('s-air').every((value: number | null) => value === null)).toBe(true)
  expect(store.asked).toHaveLength(4)
})
