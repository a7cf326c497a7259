import fc from 'fast-check'
import { linearRegression, linearRegressionLine, rSquared } from 'simple-statistics'
import { describe, expect, it } from 'vitest'
import { type AlignmentCheck, bothWays, followsTemperature, parseSlope } from '../../../core/alignment/index.js'
import { evenly } from '../../evenly.js'

describe('a slope as it is written', () => {
  it.each([
    ['0.02 mm/m', 20e-6],
    ['-15 µm/m', -15e-6],
    ['12 µm over 300 mm', 40e-6],
    // half a thousandth of an inch in a foot
    ['0.0005 in/ft', 0.0005 / 12],
    ['0.0005 in over 12 in', 0.0005 / 12],
  ])('%s', (text, slope) => {
    const read = parseSlope(text)
    expect('value' in read && read.value).toBeCloseTo(slope, 12)
  })
  it.each(['', '0.02', '0.02 mm', '5 µm/kg', '1 mm over 0 mm', '1 mm/m/m'])(
    'refuses "%s" and says how to write it',
    text => {
      const read = parseSlope(text)
      expect('problem' in read && read.remedy).toMatch(/0\.02 mm\/m/)
    },
  )
})

describe('both ways round', () => {
  it('parts the surface from the instrument, whatever either is off', () => {
    fc.assert(
      fc.property(evenly(-1, 1), evenly(-1, 1), (surface, off) => {
        const found = bothWays(surface + off, -surface + off)
        expect(found.value).toBeCloseTo(surface, 12)
        expect(found.instrument).toBeCloseTo(off, 12)
      }),
    )
  })
})

const check = (i: number, value: number, temperatures: Record<string, number>): AlignmentCheck => ({
  id: i,
  machine: 'mill',
  kind: 'level',
  at: i * 86_400_000,
  instrument: 'level',
  readings: [{ direction: 'along X', value }],
  enteredAt: i * 86_400_000,
  by: 'Ada',
  note: '',
  temperatures,
  moving: null,
})
const numbers = (length: number) => fc.array(evenly(-1, 1), { minLength: length, maxLength: length })

describe('whether checks follow a temperature', () => {
  it('explains the share of variance that a general-purpose library finds (simple-statistics), of the best node', () => {
    fc.assert(
      fc.property(numbers(8), numbers(8), numbers(8), (bed, column, noise) => {
        fc.pre(Math.max(...noise) - Math.min(...noise) > 0.1)
        const rows = noise.map((value, i) => check(i, value, { bed: 20 + 2 * bed[i]!, column: 20 + 2 * column[i]! }))
        const found = followsTemperature(rows, 'along X')
        const explained = [bed, column].map(node => {
          const at = node.map(value => 20 + 2 * value)
          if (Math.max(...at) - Math.min(...at) < 0.5) return 0
          const points = at.map((value, i): [number, number] => [value, noise[i]!])
          return rSquared(points, linearRegressionLine(linearRegression(points)))
        })
        expect(found.explained ?? 0).toBeCloseTo(Math.max(...explained), 6)
      }),
      { numRuns: 12 },
    )
  })
  it('is found where it is so, with its slope', () => {
    const warm = [18, 19, 20.5, 21, 22.5, 19.5, 18.5]
    const rows = warm.map((t, i) => check(i, 8e-6 * (t - 20) + (i % 2 ? 1e-6 : -1e-6), { bed: t, head: 20 + (i % 3) }))
    const found = followsTemperature(rows, 'along X')
    expect(found).toMatchObject({ finding: 'follows', node: 'bed', checks: 7 })
    expect(found.slope! / 8e-6).toBeCloseTo(1, 0)
    expect(found.chance).toBeLessThan(0.05)
  })
  it('is claimed of checks that follow nothing in no more than one in twenty, though five nodes are looked at', () => {
    let claimed = 0
    const runs = 200
    fc.assert(
      fc.property(fc.array(numbers(6), { minLength: 7, maxLength: 7 }), rows => {
        const found = followsTemperature(
          rows.map(([value, ...nodes], i) =>
            check(i, value!, Object.fromEntries(nodes.map((t, k) => [`node ${k}`, 20 + 3 * t]))),
          ),
          'along X',
        )
        if (found.finding === 'follows') claimed++
      }),
      { numRuns: runs, seed: 11 },
    )
    // 5 % of 200 is 10; more than 20 comes by chance once in a thousand (binomial distribution)
    expect(claimed).toBeLessThanOrEqual(20)
  })
  it('cannot be told of four checks, of a machine that was always equally warm, or of readings that are all alike', () => {
    const rows = [18, 20, 22, 24, 26].map((t, i) => check(i, t * 1e-6, { bed: t }))
    expect(followsTemperature(rows.slice(1), 'along X').finding).toBe('cannot be told')
    expect(
      followsTemperature(
        rows.map(each => ({ ...each, temperatures: { bed: 20 } })),
        'along X',
      ).finding,
    ).toBe('cannot be told')
    expect(
      followsTemperature(
        rows.map((each, i) => check(i, 5e-6, each.temperatures)),
        'along X',
      ).finding,
    ).toBe('cannot be told')
    expect(followsTemperature(rows, 'along Y').checks).toBe(0)
  })
})
