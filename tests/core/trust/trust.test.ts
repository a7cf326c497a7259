import { describe, expect, it } from 'vitest'
import { faultCode, outOfRange, silence } from '../../../core/trust/index.js'

describe('a value', () => {
  it('of 85 or −127 °C is a device talking about itself (common practice, no source)', () => {
    expect(faultCode(85)).toContain('power-on')
    expect(faultCode(-127)).toContain('disconnected')
    expect(faultCode(84.9375)).toBeNull()
  })
  it('outside its range says so', () => {
    expect(outOfRange(120, -45, 95)).toContain('outside −45 to 95 °C'.replace('−', '-'))
    expect(outOfRange(20, -45, 95)).toBeNull()
  })
})

describe('a silent sensor', () => {
  it('is late after its second missed reading and lost after a while', () => {
    expect(silence(20, 10)).toBe('ok')
    expect(silence(26, 10)).toBe('late')
    expect(silence(299, 10)).toBe('late')
    expect(silence(301, 10)).toBe('lost')
    expect(silence(1300, 60)).toBe('lost')
  })
})
