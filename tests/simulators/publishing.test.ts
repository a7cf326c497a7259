import { expect, it } from 'vitest'
import { createSimulatedShop, demoPlant } from '../../simulators/index.js'
import { publishLive } from '../../simulators/publishing.js'

it('what happened while a history was published comes late, except of sensors that send no time: theirs would count as of now', async () => {
  const anchor = Date.UTC(2025, 1, 4, 10)
  const shop = createSimulatedShop(demoPlant, { seed: 1, start: anchor, anchor })
  const stop = new AbortController()
  const topics: string[][] = [[]]
  let target = anchor + 5 * 60_000
  let steps = 0
  await publishLive(
    {
      shop,
      publisher: {
        sent: () => 0,
        publish: topic => topics.at(-1)!.push(topic),
        room: async () => undefined,
        idle: async () => undefined,
      },
      anchor,
      historyInterval: 60,
      onMinute: () => undefined,
      signal: stop.signal,
    },
    () => {
      steps += 1
      // asked once before the first step and once for each
      if (steps < 3) return target
      if (steps === 4) stop.abort()
      topics.push([])
      target += 60_000
      return target
    },
  )
  const [late, live] = topics as [string[], string[]]
  expect(late.filter(topic => topic === 'shop/mill-1/air')).toHaveLength(30)
  expect(late).not.toContain('shop/oven/air')
  expect(live).toContain('shop/oven/air')
})
