import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Sensor } from '../../../core/shop.js'
import { sensorLookup } from '../../../server/recording/sensor-names.js'
import { recordingTable } from '../../../server/recording/table.js'
import { shop } from '../http/fakes.js'
import { type Found, recorded } from './recorded.js'

const temperatures = shop.sensors.filter(s => s.unit !== 'state').map(s => s.id)
const first = Date.UTC(2025, 0, 1)
const moment = fc.integer({ min: 0, max: 366 * 86_400_000 }).map(ms => first + ms)
const celsius = fc.double({ min: -60, max: 200, noNaN: true }).map(value => (Object.is(value, -0) ? 0 : value))
const reading = fc.oneof(
  fc.record({ sensor: fc.constantFrom(...temperatures), at: moment, value: celsius }),
  fc.record({ sensor: fc.constant('s-door'), at: moment, value: fc.constantFrom(0, 1) }),
)
const pieces = fc.integer({ min: 1, max: 300 })
const endings = fc.constantFrom('\n', '\r\n', '\r')

describe('any recording', () => {
  it('comes back reading by reading, whatever the delimiter, line ends, mark, quoting and pieces it arrives in', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(reading, { minLength: 1, maxLength: 30 }),
        fc.constantFrom(',', ';', '\t'),
        endings,
        fc.boolean(),
        fc.boolean(),
        pieces,
        async (readings, delimiter, ending, mark, quotes, size) => {
          const cell = (text: string) => (quotes ? `"${text}"` : text)
          const number = (value: number) => (delimiter === ';' ? String(value).replace('.', ',') : String(value))
          const row = (cells: string[]) => cells.map(cell).join(delimiter) + ending
          const text =
            (mark ? '\uFEFF' : '') +
            row(['time', 'sensor', 'value']) +
            readings.map(r => row([new Date(r.at).toISOString(), r.sensor, number(r.value)])).join('')
          const { readings: found, contents } = await recorded(text, {}, size)
          expect(contents.faults.kept).toEqual([])
          expect(found).toEqual(readings)
        },
      ),
      { numRuns: 300, seed: 41 },
    )
  })

  it('with a column for each sensor holds what its cells hold, and nothing where they are empty', async () => {
    const row = fc.record({ at: moment, values: fc.array(fc.option(celsius), { minLength: 3, maxLength: 3 }) })
    await fc.assert(
      fc.asyncProperty(fc.array(row, { minLength: 1, maxLength: 20 }), endings, pieces, async (rows, ending, size) => {
        const expected: Found[] = rows.flatMap(({ at, values }) =>
          values.flatMap((value, i) => (value === null ? [] : [{ sensor: temperatures[i]!, at, value }])),
        )
        const lines = rows.map(({ at, values }) => [at, ...values.map(v => (v === null ? '' : String(v)))].join(';'))
        const { readings, contents } = await recorded(
          ['time (ms)', ...temperatures].join(';') + ending + lines.join(ending) + ending,
          {},
          size,
        )
        expect(readings).toEqual(expected)
        expect(contents.emptyCells).toBe(3 * rows.length - expected.length)
      }),
      { numRuns: 200, seed: 42 },
    )
  })

  it('that we wrote ourselves comes back to the last digit', async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(reading, { minLength: 1, maxLength: 40 }), pieces, async (readings, size) => {
        const given = readings.map(r => ({ ...r, receivedAt: r.at + 7 }))
        const half = Math.ceil(given.length / 2)
        const together = [given.slice(0, half), given.slice(half)]
        let text = ''
        for await (const piece of recordingTable(together, shop.sensors)) text += piece
        const { readings: found } = await recorded(text, {}, size)
        expect(found).toEqual(readings)
      }),
      { numRuns: 200, seed: 43 },
    )
  })

  it('carries the speed of a spindle, out and back to the last digit, and in 1/min where a logger writes so', async () => {
    const spindle: Sensor = { ...shop.sensors[0]!, id: 'spindle', name: 'Spindle speed', unit: '1/min' }
    const lookup = sensorLookup([spindle])
    await fc.assert(
      fc.asyncProperty(fc.double({ min: 0, max: 5000, noNaN: true }), async speed => {
        const at = Date.UTC(2026, 0, 14)
        const value = Math.abs(speed)
        let text = ''
        const stored = [[{ sensor: 'spindle', at, value, receivedAt: at }]]
        for await (const piece of recordingTable(stored, [spindle])) text += piece
        expect((await recorded(text, { lookup })).readings).toEqual([{ sensor: 'spindle', at, value }])
      }),
      { numRuns: 200, seed: 45 },
    )
    const ofALogger = 'time;Spindle speed (rpm)\r\n2026-01-14T08:00:00Z;6000\r\n2026-01-14T08:01:00Z;9999\r\n'
    const { readings, contents } = await recorded(ofALogger, { lookup })
    expect(readings.map(({ value }) => value)).toEqual([100, expect.closeTo(166.65, 6)])
    expect(contents.faults.total).toBe(0)
    const wrong = await recorded('time;Spindle speed (°F)\r\n2026-01-14T08:00:00Z;68\r\n', { lookup })
    expect(wrong.readings).toEqual([])
    expect(JSON.stringify(wrong.contents.faults)).toContain('tells a speed, no temperature')
  })

  it('made of anything never throws, and accounts for every row', async () => {
    const scrap = fc.constantFrom(
      'time',
      'sensor',
      'value',
      's-air',
      ',',
      ';',
      '\t',
      '"',
      '\n',
      '\r\n',
      '2026-01-14T08:30Z',
      '20.5',
      '20,5',
      '°F',
      '\0',
      '\uFEFF',
      'x',
    )
    const text = fc.array(fc.oneof(scrap, fc.string({ maxLength: 5 })), { maxLength: 60 }).map(parts => parts.join(''))
    const bytes = fc.uint8Array({ maxLength: 200 })
    const begun = text.map(rest => `time,sensor,value\n${rest}`)
    await fc.assert(
      fc.asyncProperty(fc.oneof(text, begun, bytes), pieces, async (given, size) => {
        const { readings, contents } = await recorded(given, {}, size)
        expect(contents.readings).toBe(readings.length)
        for (const { at, value } of readings) expect(Number.isFinite(at) && Number.isFinite(value)).toBe(true)
        if (contents.headings?.layout?.form === 'rows' && !contents.failed)
          expect(contents.rows).toBe(readings.length + contents.rowsRefused)
        if (readings.length === 0) expect(contents.faults.total).toBeGreaterThan(0)
      }),
      { numRuns: 3000, seed: 44 },
    )
  })
})
