import { expect, it } from 'vitest'
import { replayClock } from '../../../server/demo/replay-clock.js'

const minute = 60_000
const from = Date.UTC(2025, 10, 4)

/** two sensors that report every minute for ten, then nothing for ten, then once more */
const recorded = () => {
  const minutes = [...Array.from({ length: 10 }, (_, i) => i), 20]
  const sensors = [{ id: 'a' }, { id: 'b' }]
  return {
    sensors,
    at: minutes.flatMap(m => [from + m * minute, from + m * minute]),
    of: minutes.flatMap(() => [0, 1]),
  }
}
/** sixty times as fast: a minute a second */
const lived = () => {
  const arrived = new Map<string, number>()
  let wall = 500
  const clock = replayClock(
    recorded(),
    60,
    () => wall,
    () => arrived,
  )
  const arrive = (minutes: number, ...ids: string[]) => {
    for (const id of ids) arrived.set(id, from + minutes * minute)
  }
  const minutesAt = (ms: number) => {
    wall = 500 + ms
    return (clock.now() - from) / minute
  }
  return { clock, arrive, minutesAt }
}

it('waits for what is on its way, and makes up for it when it has arrived', () => {
  const { clock, arrive, minutesAt } = lived()
  expect(minutesAt(300)).toBe(0)
  clock.begin()
  arrive(0, 'a', 'b')
  expect(minutesAt(1100)).toBeCloseTo(0.8, 6)
  arrive(1, 'a')
  // half of the minute between two readings of a sensor is no lateness
  expect(minutesAt(4300)).toBe(1.5)
  arrive(2, 'a', 'b')
  expect(minutesAt(4400)).toBe(3.5)
  arrive(9, 'a', 'b')
  // where nothing was recorded time goes on
  expect(minutesAt(12_300)).toBeCloseTo(12, 6)
  expect(minutesAt(25_000)).toBe(20)
})
it('waits for no sensor before it has begun, and gives one up that has ended until it begins again', () => {
  const { clock, arrive, minutesAt } = lived()
  clock.begin()
  arrive(3, 'a')
  // nothing has come of b yet
  expect(minutesAt(3500)).toBeCloseTo(3.5, 6)
  arrive(3, 'b')
  arrive(9, 'a')
  expect(minutesAt(6000)).toBe(4.5)
  expect(minutesAt(15_900)).toBe(4.5)
  expect(minutesAt(16_100)).toBe(4.5)
  // the next look goes past what will not come
  expect(minutesAt(16_200)).toBeCloseTo(16.2, 6)
  arrive(20, 'b')
  expect(minutesAt(25_000)).toBe(20)
})
