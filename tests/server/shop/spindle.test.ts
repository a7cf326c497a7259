import { describe, expect, it } from 'vitest'
import { describeProblems } from '../../../server/shop/index.js'
import { parseShop } from '../../../server/shop/parse.js'
import { changed, smallShop } from './small-shop.js'

const parsed = (text: string) => parseShop(text, 'small.yaml')
const shopOf = (text: string) => {
  const found = parsed(text)
  if ('problems' in found) throw new Error(describeProblems(found.problems))
  return found.shop
}
const withSpindle = (spindle: string) =>
  changed(
    '    workpiece: { node: air, uncertainty: 0.5 °F',
    `    spindle: ${spindle}\n    workpiece: { node: air, uncertainty: 0.5 °F`,
  )
const withSensor = (sensor: string) => `${smallShop}  spin: ${sensor}\n`

describe('a spindle in the shop file', () => {
  it('has an axis, speeds and, where nobody tested it, a stated growth', () => {
    expect(shopOf(withSpindle('{ axis: Z }')).machines[0]!.spindle).toEqual({ axis: 'Z', sign: -1 })
    const whole =
      '{ axis: Z, sign: +, work speed: 6000 1/min, highest speed: 12000 rpm, warm-up step: 3000 1/min, warm-up hold: 5 min, growth: 40 µm ± 20 %, time constant: 25 min }'
    expect(shopOf(withSpindle(whole)).machines[0]!.spindle).toEqual({
      axis: 'Z',
      sign: 1,
      workSpeed: 100,
      highest: 200,
      warmUp: { step: 50, hold: 300 },
      stated: { growth: 40e-6, growthUncertainty: 0.2, timeConstant: 1500, timeConstantUncertainty: 0.5 },
    })
    expect(shopOf(smallShop).machines[0]).not.toHaveProperty('spindle')
    const fast = shopOf(changed('zeroed at: datum', 'zeroed at: datum, spindle speed: 9000 1/min'))
    expect(fast.workClasses[1]!.spindleSpeed).toBe(150)
  })

  it('has sensors of its speed, and of a probe that reads its growth, which need no uncertainty', () => {
    const speed = withSensor('{ topic: a/spin, at: spindle of mill-a, unit: 1/min, payload: number }')
    expect(shopOf(speed).sensors.at(-1)).toMatchObject({
      id: 'spin',
      unit: '1/min',
      at: { kind: 'spindle', machine: 'mill-a' },
    })
    const probe = withSensor('{ topic: a/probe, at: spindle of mill-a, unit: µm, payload: number }')
    expect(shopOf(probe).sensors.at(-1)).toMatchObject({ unit: 'µm' })
  })

  it.each([
    [withSpindle('{ axis: W }'), /"W" is not an axis of mill-a/],
    [withSpindle('{ axis: Z, growth: 40 µm, work speed: 6000 1/min }'), /stated together/],
    [withSpindle('{ axis: Z, warm-up step: 3000 1/min }'), /stated together/],
    [withSpindle('{ axis: Z, growth: 40 µm, time constant: 25 min }'), /write work speed/],
    [withSpindle('{ axis: Z, work speed: 6000 }'), /no unit/],
    [withSpindle('{ axis: Z, growth: 40 mm, time constant: 25 min, work speed: 6000 rpm }'), /at most 2 mm/],
    [withSensor('{ topic: a/spin, at: mill-a/screw, unit: 1/min }'), /tells of a spindle, so it cannot be at/],
    [withSensor('{ topic: a/spin, at: spindle of mill-a }'), /a temperature belongs to a node/],
    [withSensor('{ topic: a/spin, at: spindle of mill-b, unit: 1/min }'), /"mill-b" is not a machine/],
  ])('is refused where something is wrong, with a remedy: %#', (text, words) => {
    const found = parsed(text)
    expect('problems' in found && describeProblems(found.problems)).toMatch(words)
    expect('problems' in found && found.problems).toHaveLength(1)
  })
})
