import { describe, expect, it } from 'vitest'
import { type Heard, interruption, readingPatience, serviceNow } from '../../web/live/freshness.js'

const noon = Date.UTC(2026, 10, 25, 12)
const connected = { broker: 'connected' as const, unstored: null, troubles: [], filling: null }
/** heard `ago` ms ago, page opened a minute before */
const heard = (ago: number): Heard => ({
  openedAt: 0,
  heardAt: 60_000,
  monotonicNow: 60_000 + ago,
  serviceTime: noon,
})
const patience = 20_000

describe('the service’s time', () => {
  it('goes on from what the service told', () => {
    expect(serviceNow(heard(1500))).toBe(noon + 1500)
  })
  it('is not known before the service told it', () => {
    expect(serviceNow({ openedAt: 0, heardAt: null, monotonicNow: 5, serviceTime: null })).toBeNull()
  })
})

describe('how long readings may stay away', () => {
  it('is two intervals of the sensor that reports most often', () => {
    expect(
      readingPatience([
        { interval: 10, unit: '°C' },
        { interval: 60, unit: '°C' },
      ]),
    ).toBe(20_000)
  })
  it('does not count contacts, which report when they please', () => {
    expect(
      readingPatience([
        { interval: 1, unit: 'state' },
        { interval: 30, unit: '°F' },
      ]),
    ).toBe(60_000)
  })
  it('leaves a fast sensor’s readings time to travel', () => {
    expect(readingPatience([{ interval: 0.5, unit: '°C' }])).toBe(5000)
  })
  it('is endless without any sensor', () => {
    expect(readingPatience([])).toBe(Number.POSITIVE_INFINITY)
  })
})

describe('a page says that its data has stopped', () => {
  it('not while readings are fresh', () => {
    expect(interruption(heard(500), connected, noon - 9_000, patience)).toBeNull()
  })
  it('when the newest reading is older than two intervals', () => {
    expect(interruption(heard(0), connected, noon - 20_001, patience)).toEqual({
      kind: 'readings',
      since: noon - 20_001,
    })
    expect(interruption(heard(0), connected, noon - 20_000, patience)).toBeNull()
  })
  it('by time passing alone, without anything arriving', () => {
    expect(interruption(heard(5999), connected, noon - 15_000, patience)?.kind).toBe('readings')
  })
  it('when three beats are missed, whatever else is wrong', () => {
    const away = { broker: 'away' as const, unstored: null, troubles: [], filling: 0.5 }
    expect(interruption(heard(6001), away, noon - 90_000, patience)).toEqual({ kind: 'service', since: noon })
  })
  it('when the broker is away', () => {
    expect(
      interruption(heard(0), { broker: 'away', unstored: null, troubles: [], filling: null }, noon - 1000, patience),
    ).toEqual({
      kind: 'broker',
      since: noon - 1000,
    })
  })
  it('when nothing arrives and the service knows why; while readings arrive, data has not stopped', () => {
    const why = 'The clock of this computer seems to be behind.'
    const troubled = { ...connected, troubles: [why] }
    expect(interruption(heard(0), troubled, noon - 90_000, patience)).toEqual({
      kind: 'trouble',
      since: noon - 90_000,
      why,
    })
    expect(interruption(heard(0), { ...troubled, broker: 'away' }, noon - 1000, patience)?.kind).toBe('trouble')
    expect(interruption(heard(0), troubled, null, patience)?.kind).toBe('trouble')
    expect(interruption(heard(0), troubled, noon - 1000, patience)).toBeNull()
  })
  it('when readings cannot be stored, which is why the broker is away as well', () => {
    const full = {
      broker: 'away' as const,
      unstored: 'Readings cannot be stored: the disk is full.',
      troubles: [],
      filling: null,
    }
    expect(interruption(heard(0), full, noon - 1000, patience)).toEqual({
      kind: 'unstored',
      since: noon - 1000,
      why: 'Readings cannot be stored: the disk is full.',
    })
  })
  it('while the demo fills its history, however old its readings', () => {
    expect(
      interruption(heard(0), { broker: 'connected', unstored: null, troubles: [], filling: 0.4 }, noon - 1e9, patience),
    ).toEqual({
      kind: 'filling',
      part: 0.4,
    })
  })
  it('when no sensor has ever reported', () => {
    expect(interruption(heard(0), connected, null, patience)?.kind).toBe('nothing yet')
  })
  it('as soon as a page just opened has waited in vain', () => {
    const never: Heard = { openedAt: 0, heardAt: null, monotonicNow: 3000, serviceTime: null }
    expect(interruption(never, null, null, patience)).toEqual({ kind: 'connecting' })
    expect(interruption({ ...never, monotonicNow: 6001 }, null, null, patience)).toEqual({
      kind: 'service',
      since: null,
    })
  })
})
