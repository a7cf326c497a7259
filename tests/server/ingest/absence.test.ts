import { describe, expect, it } from 'vitest'
import { createAbsence, waitedSince } from '../../../server/ingest/absence.js'
import { sensor } from './sensors.js'

const a = sensor('a', { interval: 10 })
const b = sensor('b', { interval: 10 })
const minute = 60_000

describe('what may have waited', () => {
  it('nothing after an absence no longer than the interval', () => {
    expect(waitedSince(10_000, 0)(a, 1)).toBe(false)
    expect(waitedSince(10_001, 0)(a, 1)).toBe(true)
  })

  it('what comes faster than the sensor sends, until it comes at its pace, each sensor by itself', () => {
    const waited = waitedSince(10 * minute, 0)
    for (let ms = 0; ms < 60; ms += 1) expect(waited(a, ms)).toBe(true)
    expect(waited(a, 5_060)).toBe(false)
    expect(waited(a, 5_061)).toBe(false)
    expect(waited(b, 5_061)).toBe(true)
  })

  it('nothing once the connection has lasted as long as the absence', () => {
    const waited = waitedSince(minute, 0)
    for (let ms = 0; ms <= minute; ms += 1000) expect(waited(a, ms)).toBe(true)
    expect(waited(a, minute + 1)).toBe(false)
  })
})

describe('absence', () => {
  it('counts from the last reading of the service that ran before', () => {
    expect(createAbsence(0).connected(minute, true)(a, minute)).toBe(true)
    expect(createAbsence(minute - 9_000).connected(minute, true)(a, minute)).toBe(false)
    expect(createAbsence(null).connected(minute, true)(a, minute)).toBe(false)
  })

  it('does not matter when the broker kept no session', () => {
    expect(createAbsence(0).connected(minute, false)(a, minute)).toBe(false)
  })

  it('counts from the end of the last connection', () => {
    const absence = createAbsence(null)
    absence.connected(0, false)
    absence.closed(20 * minute)
    absence.closed(20 * minute + 5_000) // an attempt that came to nothing
    expect(absence.connected(20 * minute + 9_000, true)(a, 20 * minute + 9_000)).toBe(false)
    absence.closed(30 * minute)
    expect(absence.connected(31 * minute, true)(a, 31 * minute)).toBe(true)
  })

  it('is not ended by a connection too short to empty the queue', () => {
    const absence = createAbsence(null)
    absence.connected(0, false)
    absence.closed(minute)
    absence.connected(11 * minute, true)
    absence.closed(11 * minute + 1000)
    expect(absence.connected(11 * minute + 2000, true)(a, 11 * minute + 2000)).toBe(true)
  })
})
