import { describe, expect, it } from 'vitest'
import { createSimulatedShop, demoPlant, type Message, type Plant } from '../../simulators/index.js'

const start = Date.UTC(2025, 1, 4, 5)
const hour = 3_600_000
const make = (seed = 1, more: Partial<Parameters<typeof createSimulatedShop>[1]> = {}) =>
  createSimulatedShop(demoPlant, { seed, start, ...more })
const listen = (shop: ReturnType<typeof make>, to: number, interval?: number): Message[] => {
  const messages: Message[] = []
  shop.advance(to, message => messages.push(message), interval)
  return messages
}

describe('the same seed', () => {
  it('gives the same messages and the same truth, byte for byte', () => {
    const [a, b] = [make(5, { scenario: 'demo' }), make(5, { scenario: 'demo' })]
    expect(JSON.stringify(listen(a, start + 6 * hour, 60))).toBe(JSON.stringify(listen(b, start + 6 * hour, 60)))
    expect(JSON.stringify(a.truth())).toBe(JSON.stringify(b.truth()))
  })
  it('another seed gives others', () => {
    expect(JSON.stringify(listen(make(5), start + hour))).not.toBe(JSON.stringify(listen(make(6), start + hour)))
  })
  it('looking at truth and ahead changes nothing', () => {
    const [a, b] = [make(), make()]
    const looked: Message[] = []
    for (let minute = 1; minute <= 120; minute++) {
      a.truth()
      a.heldDrift([900, 7200])
      looked.push(...listen(a, start + minute * 60_000, 60))
    }
    const unlooked: Message[] = []
    for (let minute = 1; minute <= 120; minute++) unlooked.push(...listen(b, start + minute * 60_000, 60))
    expect(JSON.stringify(looked)).toBe(JSON.stringify(unlooked))
  })
  it('a fault of one sensor leaves all others as they would have been', () => {
    const [a, b] = [make(), make()]
    b.fault('mill-1-air', 'unplugged')
    const others = listen(a, start + hour).filter(message => message.topic !== 'shop/mill-1/air')
    expect(JSON.stringify(listen(b, start + hour))).toBe(JSON.stringify(others))
  })
})

describe('messages', () => {
  it('come at each sensor’s interval, in order of time, with the time they were measured', () => {
    const messages = listen(make(), start + 10 * 60_000)
    const times = messages.map(message => message.time)
    expect(times).toEqual([...times].sort((a, b) => a - b))
    const air = messages.filter(message => message.topic === 'shop/mill-1/air')
    expect(air).toHaveLength(60)
    for (let i = 1; i < air.length; i++) expect(air[i]!.time - air[i - 1]!.time).toBe(10_000)
    expect(messages.filter(message => message.topic === 'shop/outdoors')).toHaveLength(10)
    for (const { payload, time } of messages)
      if (payload.startsWith('{')) expect(new Date(JSON.parse(payload).time).getTime()).toBe(time)
  })
  it('come at the interval asked for', () => {
    const messages = listen(make(), start + 10 * 60_000, 60)
    expect(messages.filter(message => message.topic === 'shop/mill-1/air')).toHaveLength(10)
  })
  it('never repeat or go back when the interval changes or the steps are odd', () => {
    const shop = make()
    const messages = [...listen(shop, start + 1_800_500, 60)]
    for (let n = 1; n < 200; n++) messages.push(...listen(shop, start + 1_800_500 + n * 1730))
    const air = messages.filter(message => message.topic === 'shop/mill-2/air').map(message => message.time)
    for (let i = 1; i < air.length; i++) expect(air[i]!).toBeGreaterThan(air[i - 1]!)
  })
  it('a door tells at once that it was opened', () => {
    const shop = make()
    listen(shop, start + hour)
    shop.setDoor('dock-door', true)
    const said = listen(shop, start + hour + 2000).find(message => message.topic === 'shop/dock-door/contact')
    expect(said && JSON.parse(said.payload).state).toBe('open')
  })
})

describe('truth', () => {
  const shop = make(2)
  listen(shop, start + 9 * hour, 60)
  const truth = shop.truth()

  it('is told for every axis of every machine, at the moment reached', () => {
    expect(truth.time).toBe(start + 9 * hour)
    for (const machine of demoPlant.machines) {
      const { axes, partTemperature, partAlpha } = truth.machines[machine.id]!
      expect(Object.keys(axes)).toEqual(machine.axes.map(axis => axis.id))
      expect(Math.abs(partTemperature - 20)).toBeLessThan(8)
      expect(partAlpha).toEqual(demoPlant.partAlpha)
      for (const axis of Object.values(axes)) {
        expect(axis.displacement.position).toHaveLength(11)
        for (const value of axis.displacement.value) expect(Math.abs(value)).toBeLessThan(100e-6)
      }
    }
  })

  it('at a working machine is nearly but not just what its sensors say', () => {
    // an estimate in the simplest way, with the constants the shop's people believe (ISO 1 growth of a bar)
    const topic = 'shop/mill-1/x-screw'
    const said = listen(shop, start + 9 * hour + 60_000, 60).find(message => message.topic === topic)!
    const estimate = 11.5e-6 * (JSON.parse(said.payload).value - 20) * 0.461
    const true_ = shop.truth().machines['mill-1']!.axes.X!.atWork
    expect(Math.abs(estimate - true_)).toBeLessThan(5e-6)
    expect(Math.abs(estimate - true_)).toBeGreaterThan(1e-9)
  })

  it('ahead: one value for each horizon, machine and axis', () => {
    const drift = shop.heldDrift([900, 1800, 2700])
    expect(Object.keys(drift)).toEqual(demoPlant.machines.map(machine => machine.id))
    for (const values of Object.values(drift['mill-2']!)) {
      expect(values).toHaveLength(3)
      for (const value of values) expect(Math.abs(value)).toBeLessThan(50e-6)
    }
  })
})

it('a plant that names what it has not is refused', () => {
  const wrong: Plant = {
    ...demoPlant,
    machines: demoPlant.machines.map(machine => ({
      ...machine,
      zone: machine.id === 'mill-1' ? 'cellar' : machine.zone,
    })),
  }
  expect(() => createSimulatedShop(wrong, { seed: 1, start })).toThrow(/no zone "cellar"/)
  expect(() => make().fault('mill-9-air', 'frozen')).toThrow(/no sensor "mill-9-air"/)
})
