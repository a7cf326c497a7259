import { expect, it } from 'vitest'
import { type BedRecord, liveInBed } from './bed/bed.js'
import { bedBars, bedLines } from './bed/table.js'

// the whole of it is `npm run exam -- --bed`; shops of development
it('healthy sensors of a machine at work and of lived-in rooms are believed', () => {
  const records = [liveInBed('mill', 2, 14), liveInBed('rooms', 4, 14)]
  expect(records.flatMap(r => r.falseSuspects)).toEqual([])
})

it.each([
  ['fell off', 'follows the air', 24],
  ['frozen', 'frozen', 24],
  ['noisy', 'noisy', 6],
  ['drift 0.3', 'strayed', 9 * 24],
] as const)(
  'a sensor that %s is found',
  (kind, by, within) => {
    const { fault } = liveInBed('mill', 337, 15 + Math.ceil(within / 24), kind)
    expect(fault!.by).toBe(by)
    expect(fault!.foundAfter).toBeLessThan(within)
  },
  120_000,
)

it('the table counts false suspects by month and fault by kind', () => {
  const suspect = { sensor: 'bed', kind: 'strayed', at: 0, hours: 3 }
  const broken = (foundAfter: number | null): BedRecord => ({
    site: 'mill',
    sensorMonths: 0,
    falseSuspects: [],
    fault: { kind: 'jump', sensor: 'bed', foundAfter, by: '' },
  })
  const records: BedRecord[] = [
    { site: 'mill', sensorMonths: 8, falseSuspects: [suspect], fault: null },
    { site: 'rooms', sensorMonths: 7, falseSuspects: [], fault: null },
    broken(2),
    broken(null),
  ]
  expect(bedLines(records)).toContain(
    'mill: 1 false suspects in 8.0 months of sensors (0.125 a sensor and month), 1 strayed; longest 3.0 h',
  )
  expect(bedLines(records)).toContain(
    'fault "jump": found 1 of 2; quarter, half, three quarters of these after 2.0, 2.0, 2.0 h',
  )
  expect(bedBars(records).map(({ value }) => value)).toEqual([0.125, 0])
})
