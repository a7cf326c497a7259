import { describe, expect, it } from 'vitest'
import { smallChangeIndex } from './growth.js'
import { allChecks } from './index.js'
import { leftAfterDay } from './settling.js'

for (const { title, checks } of allChecks(50)) {
  describe(title, () => {
    for (const { item, source, unit, published, computed, allowed } of checks) {
      it(`${item}: ${published} ${unit} (${source})`, () => {
        expect(Math.abs(computed - published), `computed ${computed} ${unit}`).toBeLessThanOrEqual(allowed)
      })
    }
  })
}

describe('facts of the trade (common practice, no source)', () => {
  it('a change of 2 °F can put a small close-tolerance part out', () => {
    // a 20 in screw against a tolerance of two ten-thousandths of an inch
    expect(smallChangeIndex()).toBeGreaterThan(100)
  })
  it('a big temperature change can take a machine a day or more to settle', () => {
    expect(leftAfterDay()).toBeGreaterThan(0.2)
  })
})
