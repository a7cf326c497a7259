import { describe, expect, it } from 'vitest'
import { EvenMeans } from '../../../server/monitor/even-means.js'
import { bucketAt, RecentMeans } from '../../../server/monitor/recent-means.js'

const minute = 60_000
const hour = 60 * minute

/** A temperature that rises by 0.6 K/h with a swing, told every so many minutes, but for a silence. */
const told = (every: number, silence: [number, number], take: (at: number, value: number) => void) => {
  const at = (t: number) => 20 + (0.6 * t) / hour + 0.5 * Math.sin((2 * Math.PI * t) / (3 * hour))
  for (let t = 0; t <= 20 * hour; t += every * minute) if (t < silence[0] || t >= silence[1]) take(t, at(t))
  return at
}

describe('means over five minutes of a sensor', () => {
  const never: [number, number] = [0, 0]
  const of = (every: number, silence = never) => {
    const means = new EvenMeans(5 * minute, 288)
    const at = told(every, silence, (time, value) => means.add(time, value))
    return { means, at }
  }

  it.for([10, 15, 30])(
    'that reports every %i min know what change is ordinary, as of one that reports often',
    every => {
      const often = of(5).means.ordinaryChange(3600)
      expect(often).toBeGreaterThan(0)
      const slow = of(every).means.ordinaryChange(3600)
      expect(Math.abs(slow / often - 1)).toBeLessThan(0.1)
    },
  )

  it('that reports every 10 min lie on the way from reading to reading', () => {
    const { means, at } = of(10)
    for (let t = 2 * hour; t < 19 * hour; t += 5 * minute)
      expect(Math.abs(means.before(t + 5 * minute) - at(t))).toBeLessThan(0.1)
  })

  it('that usually reports often are not known where it was silent, and neither where a slow one was for long', () => {
    for (const every of [1, 10]) {
      const { means } = of(every, [5 * hour, 7 * hour])
      expect(means.before(6 * hour)).toBeNaN()
      expect(means.before(8 * hour)).not.toBeNaN()
    }
    expect(of(1, [5 * hour, 5 * hour + 10 * minute]).means.before(5 * hour + 9 * minute)).toBeNaN()
  })
})

describe('recent means of a slow sensor', () => {
  it('tell what it moved from each five minutes to the next', () => {
    const means = new RecentMeans()
    const at = told(15, [0, 0], (time, value) => means.add(time, value))
    const last = bucketAt(20 * hour)
    for (let bucket = last - 40; bucket < last; bucket++) {
      const begin = bucket * 5 * minute
      expect(Math.abs(means.mean(bucket) - at(begin))).toBeLessThan(0.1)
      expect(means.moved(bucket, bucket + 1)).not.toBeNaN()
    }
  })
})
