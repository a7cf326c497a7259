import { describe, expect, it, onTestFinished } from 'vitest'
import type { Sensor, Shop } from '../../core/shop.js'
import type { LiveMonitor } from '../../server/monitor/index.js'
import { readingsLately, recoveredMonitor, usualLately } from '../../server/recovery.js'
import { openStore } from '../../server/store/sqlite.js'
import { temporaryFolder } from '../temporary-folder.js'
import { shop } from './http/fakes.js'

const now = Date.UTC(2026, 2, 2, 8)
const hour = 3_600_000

/** readings of two sensors, a temperature that tells the hour and a door that opens at noon, every ten seconds */
const filled = (hours: number, every = 10_000) => {
  const store = openStore(temporaryFolder())
  onTestFinished(() => store.close())
  const readings = []
  for (let at = now - hours * hour; at < now; at += every)
    readings.push(
      { sensor: 's-air', at, value: 20 + (now - at) / hour, receivedAt: at },
      { sensor: 's-door', at, value: at < now - 20 * hour ? 0 : 1, receivedAt: at },
    )
  store.append(readings)
  return store
}

describe('readingsLately', () => {
  it('gives five minutes each of the last two days, then every reading of two hours, in order of time', async () => {
    const readings = await readingsLately(filled(60), shop.sensors, now)
    const air = readings.filter(r => r.sensor === 's-air')
    expect(air).toHaveLength(46 * 12 + 2 * 360)
    expect(readings.every((r, i) => i === 0 || readings[i - 1]!.at <= r.at)).toBe(true)
    expect(air[0]!.at).toBe(now - 48 * hour + 150_000)
    for (const { at, value } of air) expect(value).toBeCloseTo(20 + (now - at) / hour, 1)
  })

  it('keeps a state a state', async () => {
    const door = (await readingsLately(filled(30), shop.sensors, now)).filter(r => r.sensor === 's-door')
    expect(new Set(door.map(r => r.value))).toEqual(new Set([0, 1]))
    const opened = door.find(r => r.value === 1)!
    expect(Math.abs(opened.at - (now - 20 * hour))).toBeLessThanOrEqual(60_000)
  })

  it('gives every reading of sensors that report seldom', async () => {
    const readings = await readingsLately(filled(48, 600_000), shop.sensors, now)
    expect(readings.filter(r => r.sensor === 's-air')).toHaveLength(48 * 6)
  })

  it('gives nothing from an empty store', async () => {
    const store = openStore(temporaryFolder())
    onTestFinished(() => store.close())
    expect(await readingsLately(store, shop.sensors, now)).toEqual([])
  })
})

describe('usualLately', () => {
  it('gives half hours of what is at nodes, of the days before those that are taken in again', async () => {
    const means = await usualLately(filled(96, 60_000), shop.sensors, now)
    const atNodes = new Set(shop.sensors.filter(({ at }) => at.kind === 'node').map(({ id }) => id))
    const air = means.filter(({ sensor }) => sensor === 's-air')
    expect(means.every(({ sensor }) => atNodes.has(sensor))).toBe(true)
    expect(air).toHaveLength(48 * 2)
    expect(air[0]!.at).toBe(now - 96 * hour)
    for (const { at, value } of air) expect(value).toBeCloseTo(20 + (now - at) / hour - 0.25, 1)
  })
})

describe('a monitor that is recovered after a restart', () => {
  const thermometers = shop.sensors.filter(s => s.unit !== 'state')
  const minute = 60_000
  const reading = (at: number) => (sensor: Sensor) => ({
    sensor: sensor.id,
    at,
    value: sensor.unit === 'state' ? 0 : 20 - sensor.offset,
    receivedAt: at,
  })
  const verdictOf = (monitor: LiveMonitor) =>
    monitor.machine('mill')!.classes.find(c => c.workClass === shop.workClasses[0]!.id)!.verdict

  /** fit when it ended at `now`; started again after `away` ms, and readings come when they are late already */
  const restarted = async (away: number): Promise<string[]> => {
    const store = openStore(temporaryFolder())
    onTestFinished(() => store.close())
    for (let at = now - 3 * hour; at <= now; at += minute) store.append(shop.sensors.map(reading(at)))
    const [{ id: workClass }] = shop.workClasses as [Shop['workClasses'][0]]
    await store.facts.record('verdict', [
      { machine: 'mill', workClass, at: now - 2 * hour, verdict: 'fit', thermalErrorIndex: 10, reason: null },
    ])
    const start = now + away
    const monitor = await recoveredMonitor(shop, store, start)
    const seen: string[] = []
    const look = (at: number) => {
      monitor.advance(at)
      if (seen.at(-1) !== verdictOf(monitor)) seen.push(verdictOf(monitor))
    }
    const missing = Math.max(...thermometers.map(s => s.interval)) * 2500
    look(start)
    look(start + missing)
    monitor.take(shop.sensors.map(reading(start + missing + 1000)))
    look(start + missing + 2000)
    return seen
  }

  it('bridges a short gap as one that ran on would', async () => {
    expect(await restarted(1000)).toEqual(['fit', 'unknown', 'fit'])
  })

  it('lets fit be earned anew after a long one', async () => {
    expect(await restarted(10 * minute)).toEqual(['unknown', 'settling'])
  })
})
