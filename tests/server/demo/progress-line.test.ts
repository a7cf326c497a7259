import { describe, expect, it, onTestFinished, vi } from 'vitest'
import { progressLine } from '../../../server/demo/progress-line.js'

const shown = (isTTY: boolean) => {
  vi.useFakeTimers({ now: 0 })
  onTestFinished(() => {
    vi.useRealTimers()
  })
  const lines: string[] = []
  const out = { isTTY, write: (text: string) => lines.push(text) } as unknown as NodeJS.WriteStream
  return { lines, progress: progressLine('a day', out) }
}

describe('progressLine', () => {
  it('writes over one line on a terminal, and says how long it will take and took', () => {
    const { lines, progress } = shown(true)
    progress(0)
    vi.advanceTimersByTime(10_000)
    progress(0.25)
    vi.advanceTimersByTime(30_000)
    progress(1)
    progress(1)
    expect(lines).toEqual([
      '\ra day: 0 %\u001b[K',
      '\ra day: 25 %, about 30 s left\u001b[K',
      '\ra day: done in 40 s\u001b[K\n',
    ])
  })

  it('writes a line every five seconds elsewhere, and one at the end', () => {
    const { lines, progress } = shown(false)
    for (let i = 0; i < 12; i++) {
      vi.advanceTimersByTime(1000)
      progress(i / 12)
    }
    progress(1)
    expect(lines).toHaveLength(3)
    expect(lines.at(-1)).toBe('a day: done in 12 s\n')
  })
})
