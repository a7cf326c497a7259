import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Readings, Summary } from '../../../server/store/block.js'
import {
  decodeReadings,
  decodeSummaries,
  decodeTimes,
  encodeReadings,
  encodeSummaries,
} from '../../../server/store/block.js'

const start = Date.UTC(2024, 0, 15, 6)

/** the bits of each double, so that the two zeros differ */
const bits = (values: Float64Array): string[] => [...new BigUint64Array(values.slice().buffer)].map(String)

const anyDouble = fc.double({ noNaN: true, noDefaultInfinity: true })
const ofStep = (parts: number) => fc.integer({ min: -800, max: 2000 }).map(steps => steps / parts)
const fahrenheit = fc.integer({ min: 600, max: 800 }).map(tenths => (tenths / 10 - 32) / 1.8)
const zeros = fc.constantFrom(0, -0)
const large = fc.maxSafeInteger()
const kinds: fc.Arbitrary<fc.Arbitrary<number>> = fc.constantFrom(
  anyDouble,
  ofStep(1),
  ofStep(16),
  ofStep(100),
  ofStep(3),
  fahrenheit,
  zeros,
  large,
  fc.oneof(ofStep(16), anyDouble),
  fc.oneof({ weight: 50, arbitrary: ofStep(16) }, { weight: 1, arbitrary: large }),
)

const readingsOf = (length: number): fc.Arbitrary<Readings> =>
  kinds.chain(value =>
    fc
      .record({
        at: fc.uniqueArray(fc.integer({ min: 0, max: 3_599_999 }), { minLength: length, maxLength: length }),
        value: fc.array(value, { minLength: length, maxLength: length }),
        delay: fc.array(fc.oneof(fc.integer({ min: -10, max: 500 }), fc.maxSafeInteger()), {
          minLength: length,
          maxLength: length,
        }),
      })
      .map(({ at, value: values, delay }) => ({
        at: Float64Array.from(at, time => start + time).sort(),
        value: Float64Array.from(values),
        delay: Float64Array.from(delay),
      })),
  )

describe('a block of readings', () => {
  it('gives back every number bit by bit, whatever doubles they are', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 80 }).chain(readingsOf), readings => {
        const bytes = encodeReadings(readings, start)
        const back = decodeReadings(bytes, start)
        expect(bits(back.at)).toEqual(bits(readings.at))
        expect(bits(back.value)).toEqual(bits(readings.value))
        expect(bits(back.delay)).toEqual(bits(readings.delay))
        expect(bits(decodeTimes(bytes, start))).toEqual(bits(readings.at))
      }),
      { numRuns: 2000, seed: 20 },
    )
  })

  it.each([5e-324, Number.MAX_VALUE, -Number.MAX_VALUE, 2 ** 48, 2 ** 48 + 1, 2 ** 53, 0.1 + 0.2, -0, 1e-9])(
    'gives back %d',
    value => {
      const readings = {
        at: Float64Array.of(start, start + 3_599_999),
        value: Float64Array.of(20, value),
        delay: Float64Array.of(0, -1),
      }
      expect(bits(decodeReadings(encodeReadings(readings, start), start).value)).toEqual(bits(readings.value))
    },
  )

  it('cut short or of an unknown version is refused', () => {
    const at = Float64Array.from({ length: 200 }, (_, index) => start + index * 17_000 + ((index * 7919) % 4000))
    const bytes = encodeReadings({ at, value: at.map(time => Math.sin(time)), delay: at.map(() => 3) }, start)
    expect(() => decodeReadings(bytes.subarray(0, bytes.length - 40), start)).toThrow(/too early/)
    expect(() => decodeReadings(Buffer.concat([Buffer.of(9), bytes.subarray(1)]), start)).toThrow(/version 9/)
  })
})

it('a block of summaries gives back every number bit by bit', () => {
  const summary = (value: fc.Arbitrary<number>) =>
    fc.array(fc.record({ count: fc.integer({ min: 1, max: 1e6 }), sum: value, min: value, max: value }), {
      minLength: 1,
      maxLength: 60,
    })
  fc.assert(
    fc.property(kinds.chain(summary), found => {
      const rows = found.map(
        ({ count, sum, min, max }, index): Summary => [start + index * 60_000, count, sum, min, max],
      )
      const back = decodeSummaries(encodeSummaries(rows, start, 60_000), start, 60_000)
      expect(back.map(row => bits(Float64Array.from(row)))).toEqual(rows.map(row => bits(Float64Array.from(row))))
    }),
    { numRuns: 1000, seed: 20 },
  )
})
