import type { PlannedTool, ToolJob } from '../../../core/spindle/index.js'
import type { Law } from '../../../core/spindle/law.js'
import { randomStream } from '../../../simulators/random.js'

/** A spindle of two parts that cools more slowly than it heats; growth rises with speed. */
export const twoParts: Law = {
  speeds: [50, 100, 150, 200],
  steady: [9e-6, 22e-6, 38e-6, 56e-6],
  shares: [0.3, 0.7],
  variation: 'by speed',
  logs: [Math.log(300), Math.log(8), Math.log(1.3)],
}
/** One part only, time constants alike. */
export const onePart: Law = { ...twoParts, shares: [1], variation: 'alike', logs: [Math.log(1500)] }

/** Tools drawn at random, and so many pairs of which the first must be done before the second. */
export const randomJob = (seed: number, count: number, pairs: number): ToolJob => {
  const random = randomStream(seed, 'job')
  const tools = Array.from(
    { length: count },
    (_, i): PlannedTool => ({
      name: `T${i + 1}`,
      length: random.between(0.06, 0.2),
      speed: random.between(30, 200),
      cutting: random.between(60, 1200),
      tolerance: random.between(10e-6, 60e-6),
      share: 0.3,
    }),
  )
  const before = Array.from({ length: pairs }, (): [number, number] => {
    const first = Math.floor(random.uniform() * (count - 1))
    return [first, first + 1 + Math.floor(random.uniform() * (count - 1 - first))]
  })
  return { tools, before, change: 24 }
}

/** Every order that keeps what must come first. */
export const allOrders = ({ tools, before }: ToolJob): number[][] => {
  const grow = (done: number[]): number[][] =>
    done.length === tools.length
      ? [done]
      : tools.flatMap((_, i) =>
          done.includes(i) || before.some(([first, second]) => second === i && !done.includes(first))
            ? []
            : grow([...done, i]),
        )
  return grow([])
}
