import { describe, expect, it } from 'vitest'
import {
  earningTime,
  faultCode,
  isJump,
  manySpikes,
  notBelievedSince,
  outOfRange,
  silence,
  silent,
} from '../../../core/trust/index.js'

// fault codes, ranges and quickest changes: common practice and judgement, no source
describe('a value', () => {
  it('of 85 out of nowhere, or −127 °C, is a device talking about itself', () => {
    expect(faultCode(85, null)).toEqual({ kind: 'fault code', code: 'restarted' })
    expect(faultCode(85, 21.3)).toEqual({ kind: 'fault code', code: 'restarted' })
    expect(faultCode(-127, 20)).toEqual({ kind: 'fault code', code: 'disconnected' })
    expect(faultCode(84.9375, 20)).toBeNull()
  })
  it('of 85 °C that a part has warmed up to is a temperature', () => {
    expect(faultCode(85, 84.6)).toBeNull()
    expect(faultCode((185 - 32) / 1.8, 86)).toBeNull()
    expect(faultCode((185 - 32) / 1.8, 20)).not.toBeNull()
  })
  it('is plausible or not for the kind of its place, and its fault says of what', () => {
    expect(outOfRange(80, 'body')).toBeNull()
    expect(outOfRange(80, 'air')).toMatchObject({ kind: 'out of range', value: 80, place: 'air' })
    expect(outOfRange(-40, 'outdoors')).toBeNull()
    expect(outOfRange(-40, 'body')).not.toBeNull()
    expect(outOfRange(Number.NaN, 'body')).not.toBeNull()
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
  it('is not believed since its newest reading; what another fault was found of, since it was found', () => {
    expect(notBelievedSince({ fault: silent(10, [], 400), since: 5000, at: 1000 })).toBe(1000)
    expect(notBelievedSince({ fault: silent(10, [], 400), since: 5000, at: null })).toBe(5000)
    expect(notBelievedSince({ fault: { kind: 'frozen' }, since: 5000, at: 6000 })).toBe(5000)
  })
  it('earns its trust back over ten readings, ten minutes at least', () => {
    expect(earningTime(10)).toBe(600)
    expect(earningTime(120)).toBe(1200)
  })
  it('earns it back within two hours where it reports seldom, but over no fewer than three intervals', () => {
    expect(earningTime(900)).toBe(7200)
    expect(earningTime(3600)).toBe(10_800)
  })
  it('that has been late each time is told to report seldom, and not while it keeps to no spacing', () => {
    const hourly = [3600, 3600, 3590, 3610, 3600]
    expect(silent(600, hourly, 1700)).toEqual({ kind: 'silent', interval: 600, seldom: 3600 })
    for (const [gaps, age] of [
      [hourly.slice(1), 1700],
      [[1600, 9000, 3600, 2000, 20_000], 1700],
      [hourly, 9000],
    ] as const)
      expect(silent(600, gaps, age)).toEqual({ kind: 'silent', interval: 600 })
  })
})

describe('a spike', () => {
  it('is a jump that no place makes; a cold gust at the door is none', () => {
    expect(isJump(20, 31, 60, 'body')).toBe(true)
    expect(isJump(20, 23, 60, 'body')).toBe(false)
    expect(isJump(20, 15, 60, 'air')).toBe(false)
    expect(isJump(20, 11, 10, 'source')).toBe(false)
  })
  it('allows for the time between readings', () => {
    expect(isJump(20, 31, 3600, 'body')).toBe(false)
  })
  it('becomes a fault when three come within two hours, or within sixty readings', () => {
    expect(manySpikes(null, 60)).toBeNull()
    expect(manySpikes(7100, 60)).not.toBeNull()
    expect(manySpikes(7300, 60)).toBeNull()
    expect(manySpikes(7300, 600)).not.toBeNull()
  })
})
