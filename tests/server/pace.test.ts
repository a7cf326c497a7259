import { setTimeout as wait } from 'node:timers/promises'
import { describe, expect, it, onTestFinished, vi } from 'vitest'
import type { Reading } from '../../server/ingest/reading.js'
import { createPace } from '../../server/pace.js'
import { FakeMonitor } from './http/fakes.js'

/** writes down in which order it was given readings and time */
class Told extends FakeMonitor {
  log: string[] = []
  override take(readings: readonly Reading[] = []) {
    this.log.push(`take ${readings.map(r => r.at).join(' ')}`)
  }
  override advance(to: number) {
    this.log.push(`advance ${to}`)
  }
}

const reading = (at: number): Reading => ({ sensor: 's', at, value: 20, receivedAt: at })

const paced = (clock: () => number, fillingFrom: number | null) => {
  const monitor = new Told()
  const pace = createPace(monitor, clock, fillingFrom)
  onTestFinished(() => pace.stop())
  return { monitor, pace }
}

const minute = 60_000

describe('pace', () => {
  it('follows the readings while a history is filled in, minute by minute, whatever order they come in', () => {
    const { monitor, pace } = paced(() => 3_600_000, 0)
    pace.take([reading(130_000), reading(10_000), reading(20_000), reading(70_000)])
    expect(monitor.log).toEqual([
      'advance 0',
      'take 10000 20000',
      'advance 20000',
      'take 70000',
      'advance 70000',
      'take 130000',
      'advance 130000',
    ])
    expect(pace.now()).toBe(130_000)
  })

  it('takes larger steps through what is long past', () => {
    const { monitor, pace } = paced(() => 13 * 60 * minute, 0)
    pace.take([reading(minute), reading(4 * minute), reading(6 * minute)])
    expect(monitor.log.slice(1)).toEqual([
      `take ${minute} ${4 * minute}`,
      `advance ${4 * minute}`,
      `take ${6 * minute}`,
      `advance ${6 * minute}`,
    ])
  })

  it('never lets time run back for a late reading, and does not lose it', () => {
    const { monitor, pace } = paced(() => 1e12, 0)
    pace.take([reading(10 * minute)])
    monitor.log = []
    pace.take([reading(minute), reading(10 * minute + 5)])
    expect(monitor.log).toEqual([`take ${minute} ${10 * minute + 5}`, `advance ${10 * minute + 5}`])
  })

  it('follows the clock once the history is filled', async () => {
    let now = 5_000_000
    const { monitor, pace } = paced(() => now, 0)
    pace.take([reading(1000)])
    monitor.log = []
    pace.followClock()
    expect(monitor.log).toEqual(['advance 5000000'])
    now = 5_000_300
    pace.take([reading(4_999_000)])
    pace.take([reading(4_999_500)])
    expect(monitor.log.slice(1)).toEqual(['take 4999000', 'take 4999500'])
    await wait(400)
    expect(monitor.log.slice(3)).toEqual(['advance 5000300'])
    expect(pace.now()).toBe(5_000_300)
  })

  it('evaluates a large shop in turns of the loop, one evaluation at a time, and no further once it is stopped', async () => {
    let spent = 0
    const time = vi.spyOn(performance, 'now').mockImplementation(() => spent)
    onTestFinished(() => time.mockRestore())
    class Large extends Told {
      override *advancing(to: number): Generator<void, void> {
        for (let machine = 0; machine < 6; machine++) {
          this.log.push(`${to}: machine ${machine}`)
          spent += 6
          yield
        }
        this.log.push(`${to}: told`)
      }
    }
    let now = 7
    const monitor = new Large()
    const pace = createPace(monitor, () => now, null)
    onTestFinished(() => pace.stop())
    const turn = () => new Promise(resolve => setImmediate(resolve))
    // two of 6 ms in one turn
    expect(monitor.log).toEqual(['7: machine 0', '7: machine 1'])
    now = 8
    pace.followClock()
    await turn()
    expect(monitor.log.slice(2)).toEqual(['7: machine 2', '7: machine 3'])
    while (!monitor.log.includes('7: told')) await turn()
    expect(monitor.log.filter(line => line.startsWith('8'))).toEqual([])
    while (!monitor.log.includes('8: machine 1')) await turn()
    pace.stop()
    const { length } = monitor.log
    for (let i = 0; i < 5; i++) await turn()
    expect(monitor.log).toHaveLength(length)
    expect(monitor.log).not.toContain('8: told')
  })

  it('advances each second without any reading, until it is stopped', async () => {
    const { monitor, pace } = paced(() => 7, null)
    await wait(2200)
    expect(monitor.log).toEqual(['advance 7', 'advance 7', 'advance 7'])
    pace.stop()
    await wait(1200)
    expect(monitor.log).toHaveLength(3)
  })
})
