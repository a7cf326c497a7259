import { describe, expect, it } from 'vitest'
import { parseShop } from '../../../server/shop/parse.js'
import { changed, lineOf } from './small-shop.js'

const onMachine = (limits: string) =>
  changed('    place: by the door\n', `    place: by the door\n    limits: ${limits}\n`)
const withArea = (area: string, shop?: string) =>
  changed('sensor defaults: {', `areas:\n  room: ${area}\nsensor defaults: {`, shop)
const shopOf = (text: string) => {
  const parsed = parseShop(text, 'shop.yaml')
  if ('problems' in parsed) throw new Error(JSON.stringify(parsed.problems))
  return parsed.shop
}

describe('limits in the shop file', () => {
  it('are of a machine, in the units people write, about the reference temperature', () => {
    const limits = shopOf(
      onMachine(
        '{ band: ± 1.8 °F, rate: 0.9 °F/h, swing: 2 K, gradient: 0.3048 K/ft, stated by: builder, sensors: [hall] }',
      ),
    ).machines[0]!.limits!
    expect(limits).toMatchObject({ swing: 2, statedBy: 'builder', sensors: ['hall'] })
    expect(limits.band!.lowest).toBeCloseTo(19, 9)
    expect(limits.band!.highest).toBeCloseTo(21, 9)
    expect(limits.rate).toBeCloseTo(0.5, 9)
    expect(limits.gradient).toBeCloseTo(1, 9)
    const band = shopOf(onMachine('{ band: 18 °C to 77 °F, stated by: builder }')).machines[0]!.limits!.band!
    expect(band.lowest).toBe(18)
    expect(band.highest).toBeCloseTo(25, 9)
    // nothing is assumed
    expect(shopOf(onMachine('{ swing: 2 K, stated by: builder }')).machines[0]!.limits).toEqual({
      swing: 2,
      statedBy: 'builder',
    })
  })

  it('are of an area, which has sensors, and those have positions', () => {
    const placed = changed('at: shop air }', 'at: shop air, position: { x: 3 m, y: 200 cm, z: 1.5 m } }')
    const { areas, sensors } = shopOf(
      withArea('{ sensors: [hall, a-air], limits: { rate: 1 K/h, stated by: shop } }', placed),
    )
    expect(areas).toEqual([
      { id: 'room', name: 'room', sensors: ['hall', 'a-air'], limits: { rate: 1, statedBy: 'shop' } },
    ])
    expect(sensors.find(({ id }) => id === 'hall')!.position).toEqual({ x: 3, y: 2, z: 1.5 })
  })

  it.each([
    [
      'nobody who states them',
      onMachine('{ band: 1 K }'),
      'machines › mill-a › limits › stated by',
      'missing',
      'manual',
    ],
    ['none at all', onMachine('{ stated by: me }'), 'machines › mill-a › limits', 'no limit', 'band, rate, swing'],
    ['a band without unit', onMachine('{ band: 1, stated by: me }'), '… › band', 'not a band', '18 °C to 23 °C'],
    ['a band that falls', onMachine('{ band: 23 °C to 18 °C, stated by: me }'), '… › band', 'does not rise', 'lower'],
    ['a rate in no time', onMachine('{ rate: 1 K, stated by: me }'), '… › rate', 'cannot be read', '0.5 K/h'],
    ['a rate by the metre', onMachine('{ rate: 1 K/m, stated by: me }'), '… › rate', 'cannot be read', '0.5 K/h'],
    ['a swing below zero', onMachine('{ swing: -1 K, stated by: me }'), '… › swing', 'out of bounds', '1.5 K'],
    [
      'an unknown sensor',
      onMachine('{ swing: 1 K, stated by: me, sensors: [hal] }'),
      '… › sensors › 0',
      '"hal"',
      'hall',
    ],
    [
      'a door contact',
      withArea('{ sensors: [door] }'),
      'areas › room › sensors › 0',
      'not a sensor of temperature',
      '',
    ],
    ['an area of nothing', withArea('{ sensors: [] }'), 'areas › room › sensors', 'no sensor', 'list the sensors'],
    [
      'half a position',
      changed('at: shop air }', 'at: shop air, position: { x: 3 m, y: 2 m } }'),
      '… › position › z',
      'missing',
      'm',
    ],
  ])('are refused with place and remedy: %s', (_name, text, path, what, remedy) => {
    const parsed = parseShop(text, 'shop.yaml')
    const problems = 'problems' in parsed ? parsed.problems : []
    expect(problems).toHaveLength(1)
    const [problem] = problems
    expect(problem!.path.join(' › ')).toContain(path.replace('… › ', ''))
    expect(problem!.what).toContain(what)
    expect(problem!.remedy).toContain(remedy)
    const where = text.includes('areas:') ? 'sensors: [' : text.includes('limits:') ? 'limits:' : 'position:'
    expect(problem!.line).toBe(lineOf(where, text))
  })
})
