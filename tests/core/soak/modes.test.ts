import fc from 'fast-check'
import { expect, it } from 'vitest'
import { ballModes, cylinderModes, type Mode, meanLeft, slabModes } from '../../../core/soak/modes.js'
import { evenly } from '../../evenly.js'
import { leftAt } from './left-at.js'

/** from an almost insulated face to one held at its temperature */
const biot = evenly(-4, 6).map(power => 10 ** power)
const total = (modes: readonly Mode[]) => modes.reduce((sum, { share }) => sum + share, 0)

it('of a slab none is left out, whatever its films: one in each half wave, and together they are the whole', () => {
  fc.assert(
    fc.property(biot, fc.oneof(fc.constant(0), biot), (far, near) => {
      const modes = slabModes(near, far)
      modes.forEach(({ zeta }, n) => {
        expect(zeta).toBeGreaterThan(n * Math.PI - 1e-9)
        expect(zeta).toBeLessThan((n + 1) * Math.PI + 1e-9)
      })
      expect(total(modes)).toBeGreaterThan(0.97)
      expect(total(modes)).toBeLessThan(1 + 1e-9)
    }),
    { seed: 1, numRuns: 300 },
  )
})

it('of round bodies likewise', () => {
  fc.assert(
    fc.property(biot, far => {
      for (const modes of [cylinderModes(far), ballModes(far)]) {
        expect(total(modes)).toBeGreaterThan(0.95)
        expect(total(modes)).toBeLessThan(1 + 1e-9)
        modes.forEach(({ zeta }, n) => {
          if (n > 0) expect(zeta - modes[n - 1]!.zeta).toBeLessThan(1.5 * Math.PI)
        })
      }
    }),
    { seed: 1, numRuns: 40 },
  )
})

it('the mean of a slab is the mean over its places', () => {
  const modes = slabModes(0.3, 4)
  const places = 2000
  const mean = Array.from({ length: places }, (_, i) => leftAt(modes, 0.2, (i + 0.5) / places)).reduce((a, b) => a + b)
  expect(meanLeft(modes, 0.2)).toBeCloseTo(mean / places, 6)
})
