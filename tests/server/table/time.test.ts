import { describe, expect, it } from 'vitest'
import { timeReader } from '../../../server/table/index.js'
import { recorded } from '../recording/recorded.js'

const vienna = timeReader({ zone: 'Europe/Vienna', scale: null })
const utc = (...parts: [number, number, number, number, number]) =>
  Date.UTC(parts[0], parts[1] - 1, parts[2], parts[3], parts[4])

// In 2026 clocks in the EU go from 02:00 to 03:00 on 29 March and from 03:00 to 02:00 on 25 October, both at 01:00 UTC
// (Directive 2000/84/EC, articles 2 and 3: last Sunday of March and of October)
describe('a time without a zone', () => {
  it('is the shop’s, in winter and in summer', () => {
    expect(vienna('2026-01-14 09:30', null)).toEqual({ at: utc(2026, 1, 14, 8, 30), repeated: false })
    expect(vienna('2026-07-14T09:30', null)).toEqual({ at: utc(2026, 7, 14, 7, 30), repeated: false })
  })

  it('is refused where clocks were put forward over it', () => {
    expect(vienna('2026-03-29 01:59', null)).toMatchObject({ at: utc(2026, 3, 29, 0, 59) })
    expect(vienna('2026-03-29 02:00', null)).toMatchObject({ kind: 'time that does not exist' })
    expect(vienna('2026-03-29 02:59:59', null)).toMatchObject({ kind: 'time that does not exist' })
    expect(vienna('2026-03-29 03:00', null)).toMatchObject({ at: utc(2026, 3, 29, 1, 0) })
  })

  it('that occurs twice is told apart by the time before it, and refused without one', () => {
    const first = utc(2026, 10, 25, 0, 30)
    const second = utc(2026, 10, 25, 1, 30)
    expect(vienna('2026-10-25 02:30', null)).toMatchObject({ kind: 'time that occurs twice' })
    expect(vienna('2026-10-25 02:30', utc(2026, 10, 25, 0, 20))).toEqual({ at: first, repeated: true })
    expect(vienna('2026-10-25 02:30', utc(2026, 10, 25, 0, 50))).toEqual({ at: second, repeated: true })
    expect(vienna('2026-10-25 02:30', utc(2026, 10, 25, 1, 40))).toMatchObject({ kind: 'time that occurs twice' })
    expect(vienna('2026-10-25 02:30Z', null)).toEqual({ at: utc(2026, 10, 25, 2, 30), repeated: false })
  })

  it('is right all through a night recorded every ten minutes, and the repeated rows are counted', async () => {
    const from = utc(2026, 10, 24, 22, 0)
    const times = Array.from({ length: 36 }, (_, i) => from + i * 600_000)
    const local = new Intl.DateTimeFormat('sv-SE', {
      timeZone: 'Europe/Vienna',
      dateStyle: 'short',
      timeStyle: 'medium',
    })
    const text = `time,s-air\n${times.map(t => `${local.format(t)},20`).join('\n')}\n`
    const { readings, contents } = await recorded(text)
    expect(readings.map(r => r.at)).toEqual(times)
    expect(contents.repeatedHour).toBe(12)
    expect(contents.faults.total).toBe(0)
  })

  it('is refused when nobody knows the zone', () => {
    expect(timeReader({ zone: null, scale: null })('2026-01-14 09:30', null)).toMatchObject({
      kind: 'time',
      problem: '"2026-01-14 09:30" has no zone',
    })
  })

  it('half an hour of difference too (Lord Howe Island, 5 April 2026, from 02:00 back to 01:30)', () => {
    const lordHowe = timeReader({ zone: 'Australia/Lord_Howe', scale: null })
    expect(lordHowe('2026-04-05 01:29', null)).toMatchObject({ at: utc(2026, 4, 4, 14, 29), repeated: false })
    expect(lordHowe('2026-04-05 01:45', utc(2026, 4, 4, 14, 40))).toMatchObject({ at: utc(2026, 4, 4, 14, 45) })
    expect(lordHowe('2026-04-05 01:45', utc(2026, 4, 4, 14, 50))).toMatchObject({ at: utc(2026, 4, 4, 15, 15) })
  })
})

describe('other times', () => {
  const at = utc(2026, 1, 14, 8, 30)
  it.each([
    ['2026-01-14T08:30:00Z', at],
    ['2026-01-14T08:30:00,250Z', at + 250],
    ['2026-01-14 08:30:00.1234567 UTC', at + 123],
    ['2026-01-14T10:00+0130', at],
    ['2026-01-14T03:30-05', at],
    [String(at), at],
    [String(at / 1000), at],
    [`${at / 1000}.5`, at + 500],
  ])('%s', (text, expected) => {
    expect(vienna(text, null)).toEqual({ at: expected, repeated: false })
  })

  it.each([
    '',
    'now',
    '2026-13-01 00:00',
    '2026-01-14 24:30',
    '2026-01-14',
    '2026-01-14T08',
    '1/14/2026 08:30',
    '12345',
    '-5',
    '1e12',
    '2026-01-14T08:30+25:00',
  ])('%j is none', text => {
    expect(vienna(text, null)).toMatchObject({ kind: 'time' })
  })
})
