import { expect, it } from 'vitest'
import { acts, namedCauses } from './named-causes.js'

it('a door is named where it acts, and seldom where it does not', () => {
  const found = [2, 5].flatMap(seed => namedCauses(Date.UTC(2026, 0, 12, 0), 1.5, seed))
  const idle = found.filter(cause => !acts(cause))
  console.log(`doors named ${found.length} times (every 6 min), of which ${idle.length} did not act`)
  expect(found.length).toBeGreaterThan(40)
  expect(idle.length / found.length).toBeLessThan(0.05)
})
