import { describe, expect, it } from 'vitest'
import type { SensorPlant } from '../../simulators/plant.js'
import { createSensor, type FaultKind } from '../../simulators/sensor.js'

const plant: SensorPlant = {
  id: 'screw',
  topic: 'shop/screw',
  payload: { kind: 'json', value: 'value', time: 'ms' },
  unit: '°C',
  interval: 10,
  measures: { kind: 'outdoors' },
  lag: 60,
  airShare: 0,
  bias: 0.05,
  placement: 0.05,
  noise: 0.02,
  resolution: 1 / 16,
}
const make = (more: Partial<SensorPlant> = {}, touches = () => 23, air = () => 18) =>
  createSensor({ ...plant, ...more }, 1, touches, air, ['open', 'closed'])

const readings = (sensor: ReturnType<typeof make>, count: number): { value: number; time: number }[] =>
  Array.from({ length: count }, (_, i) => {
    sensor.follow(10)
    return JSON.parse(sensor.payload(i * 10_000)!)
  })

describe('what it sends', () => {
  it('JSON with value and time, in steps of 1/16 K, near what it touches', () => {
    for (const [i, { value, time }] of readings(make(), 50).entries()) {
      expect(time).toBe(i * 10_000)
      expect(value * 16).toBe(Math.round(value * 16))
      expect(Math.abs(value - 23)).toBeLessThan(0.35)
    }
  })

  it('a bare number, a time as text, or °F, when it is made so', () => {
    const bare = make({ payload: { kind: 'number' } })
    bare.follow(10)
    expect(Number(bare.payload(0))).toBeCloseTo(23, 0)
    const iso = make({ payload: { kind: 'json', value: 'value', time: 'iso' } })
    iso.follow(10)
    expect(JSON.parse(iso.payload(Date.UTC(2025, 0, 2))!).time).toBe('2025-01-02T00:00:00.000Z')
    const fahrenheit = make({ unit: '°F', bias: 0, placement: 0, noise: 0 })
    fahrenheit.follow(10)
    expect(JSON.parse(fahrenheit.payload(0)!).value).toBe(73.4)
  })

  it('open or closed, for a contact', () => {
    let open = 1
    const contact = make({ unit: 'state', payload: { kind: 'json', value: 'state', time: 'ms' } }, () => open)
    expect(contact.payload(5)).toBe('{"state":"open","time":5}')
    open = 0
    expect(contact.payload(6)).toBe('{"state":"closed","time":6}')
  })
})

it('each sensor is off by its own constant, drawn from the seed', () => {
  const mean = (id: string, seed: number): number => {
    const sensor = createSensor(
      { ...plant, id },
      seed,
      () => 23,
      () => 18,
      ['on', 'off'],
    )
    const values = readings(sensor as ReturnType<typeof make>, 400).map(reading => reading.value)
    return values.reduce((a, b) => a + b, 0) / values.length
  }
  expect(mean('a', 1)).toBe(mean('a', 1))
  expect(Math.abs(mean('a', 1) - mean('b', 1))).toBeGreaterThan(0.001)
  expect(Math.abs(mean('a', 1) - mean('a', 2))).toBeGreaterThan(0.001)
})

it('it follows a step with its lag: 63.2 % after 60 s (definition of a time constant)', () => {
  let touched = 20
  const sensor = make({ bias: 0, placement: 0, noise: 0, resolution: 0.001 }, () => touched)
  sensor.follow(0)
  touched = 30
  for (let n = 0; n < 60; n++) sensor.follow(1)
  expect(JSON.parse(sensor.payload(0)!).value).toBeCloseTo(26.32, 2)
})

it('part of what a sensor on a body feels is air', () => {
  const sensor = make({ airShare: 0.1, bias: 0, placement: 0, noise: 0 })
  sensor.follow(10)
  expect(JSON.parse(sensor.payload(0)!).value).toBe(22.5)
})

describe('faults', () => {
  const broken = (kind: FaultKind) => {
    const sensor = make()
    const whole = readings(sensor, 20)
    sensor.setFault(kind, 0)
    return { sensor, whole }
  }
  it('unplugged: nothing comes, until it is plugged in again', () => {
    const { sensor } = broken('unplugged')
    sensor.follow(10)
    expect(sensor.payload(0)).toBeNull()
    sensor.setFault(null, 0)
    expect(sensor.payload(0)).not.toBeNull()
  })
  it('frozen: the last value, with new times', () => {
    const { sensor, whole } = broken('frozen')
    const after = readings(sensor, 20)
    expect(new Set(after.map(reading => reading.value))).toEqual(new Set([whole.at(-1)!.value]))
    expect(new Set(after.map(reading => reading.time)).size).toBe(20)
  })
  it('spike: now and then a reading far off, the others right', () => {
    const after = readings(broken('spike').sensor, 600)
    const off = after.filter(reading => Math.abs(reading.value - 23) > 5)
    expect(off.length).toBeGreaterThan(15)
    expect(off.length).toBeLessThan(80)
    for (const { value } of after.filter(reading => !off.includes(reading)))
      expect(Math.abs(value - 23)).toBeLessThan(0.4)
  })
  it('fell off: goes to the air with its lag', () => {
    const after = readings(broken('fell-off').sensor, 60)
    expect(after[0]!.value).toBeGreaterThan(21)
    expect(after.at(-1)!.value).toBeCloseTo(18, 0)
  })
  it('drift: half a kelvin an hour', () => {
    const sensor = make({ bias: 0, placement: 0, noise: 0 })
    sensor.follow(10)
    sensor.setFault('drift', 1_000_000)
    expect(JSON.parse(sensor.payload(1_000_000 + 4 * 3_600_000)!).value).toBe(25)
  })
  it('power-on: 85 °C', () => {
    expect(new Set(readings(broken('power-on').sensor, 5).map(reading => reading.value))).toEqual(new Set([85]))
  })
  it('a fault of one moment leaves later noise as it would have been', () => {
    const [a, b] = [make(), make()]
    readings(a, 10)
    readings(b, 5)
    b.setFault('unplugged', 0)
    for (let n = 0; n < 5; n++) {
      b.follow(10)
      b.payload(0)
    }
    b.setFault(null, 0)
    expect(readings(a, 10)).toEqual(readings(b, 10))
  })
})
