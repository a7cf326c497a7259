import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { mistakesBetween, nearestNames } from '../../core/nearest.js'

describe('counting mistakes', () => {
  it.each([
    // Damerau's four single mistakes (CACM 7, 171, 1964), from memory
    ['travel', 'travl', 1],
    ['travel', 'travvel', 1],
    ['travel', 'trabel', 1],
    ['travel', 'tarvel', 1],
    // Levenshtein's usual example, from memory
    ['kitten', 'sitting', 3],
    ['', 'abc', 3],
    ['same', 'same', 0],
  ])('%s and %s', (a, b, count) => {
    expect(mistakesBetween(a, b)).toBe(count)
  })

  it('is the same both ways, zero only for equal words, never more than the longer word', () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 12 }), fc.string({ maxLength: 12 }), (a, b) => {
        const count = mistakesBetween(a, b)
        expect(count).toBe(mistakesBetween(b, a))
        expect(count === 0).toBe(a === b)
        expect(count).toBeLessThanOrEqual(Math.max(a.length, b.length))
        expect(count).toBeGreaterThanOrEqual(Math.abs(a.length - b.length))
      }),
    )
  })
})

describe('nearest names', () => {
  it('puts the likeliest first and leaves out the unlikely', () => {
    expect(nearestNames('x-scrw', ['y-screw', 'x-screw', 'column'])).toEqual(['x-screw'])
    expect(nearestNames('6061', ['aluminium 6061', 'steel'])).toEqual(['aluminium 6061'])
    expect(nearestNames('unobtainium', ['steel', 'grey iron'])).toEqual([])
    expect(nearestNames('', ['steel'])).toEqual([])
  })
  it('does not guess at a single letter', () => {
    expect(nearestNames('x', ['y', 'z'])).toEqual([])
  })
})
