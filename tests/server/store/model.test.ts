import fc from 'fast-check'
import { expect, it } from 'vitest'
import type { Reading } from '../../../server/ingest/reading.js'
import { openStore } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { onDisk, sealed, summaries, widths } from './sealed.js'

const hour = 3_600_000
const day = 24 * hour
const start = Date.UTC(2024, 0, 15)
// one hour of one sensor in a slice, so that much happens in the middle of sealing
const settings = { retention: { readingDays: 1, minuteDays: 400, quarterHourDays: 400 }, sealSlice: 0 }

type Step =
  | { kind: 'append'; readings: Reading[] }
  | { kind: 'slice' | 'seal' | 'reopen' }
  | { kind: 'prune'; hours: number }

const reading: fc.Arbitrary<Reading> = fc.record({
  sensor: fc.constantFrom('a', 'b', 'c'),
  at: fc.oneof(
    fc.integer({ min: 0, max: 50 }).map(step => start + step * 600_000),
    fc.integer({ min: start, max: start + 3 * hour }),
  ),
  value: fc.oneof(
    fc.integer({ min: -100, max: 900 }).map(steps => steps / 16),
    fc.double({ min: -300, max: 300, noNaN: true }),
  ),
  receivedAt: fc.integer({ min: start, max: start + 3 * day }),
})

const step: fc.Arbitrary<Step> = fc.oneof(
  {
    weight: 6,
    arbitrary: fc.record({ kind: fc.constant('append' as const), readings: fc.array(reading, { maxLength: 40 }) }),
  },
  {
    weight: 5,
    arbitrary: fc.record({
      kind: fc.constantFrom('slice' as const, 'slice' as const, 'seal' as const, 'reopen' as const),
    }),
  },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant('prune' as const), hours: fc.integer({ min: 0, max: 4 }) }) },
)

const byTime = (a: Reading, b: Reading) => a.at - b.at || (a.sensor < b.sensor ? -1 : 1)
const keyOf = ({ sensor, at }: Reading) => `${sensor} ${at}`

it('does what a plain table would, with late and repeated readings, seals, prunes and new starts in any order', () => {
  fc.assert(
    fc.property(fc.array(step, { maxLength: 25 }), steps => {
      const folder = temporaryFolder()
      let store = openStore(folder, settings)
      const model = new Map<string, Reading>()
      let keptSince = 0
      for (const next of steps) {
        if (next.kind === 'append') {
          const fresh = next.readings.filter(found => {
            if (found.at < keptSince || model.has(keyOf(found))) return false
            model.set(keyOf(found), found)
            return true
          })
          expect(store.append(next.readings)).toEqual(fresh)
        } else if (next.kind === 'slice') store.sealSome(2 ** 48)
        else if (next.kind === 'seal') sealed(store)
        else if (next.kind === 'prune') {
          store.pruneSome(start + day + next.hours * hour, Number.POSITIVE_INFINITY)
          keptSince = Math.max(keptSince, start + next.hours * hour)
          for (const [key, { at }] of model) if (at < keptSince) model.delete(key)
        } else {
          store.close()
          store = openStore(folder, settings)
        }
        const all = [...model.values()]
        // by sensor where times are equal; numbers are given in the order of coming, so not compared here
        expect([...store.readings(0, Number.POSITIVE_INFINITY)].flat().sort(byTime)).toEqual([...all].sort(byTime))
        const newest = new Map<string, Reading>()
        for (const found of all) if (found.at >= (newest.get(found.sensor)?.at ?? 0)) newest.set(found.sensor, found)
        expect([...store.latest()].sort(byTime)).toEqual([...newest.values()].sort(byTime))
        for (const sensor of ['a', 'b', 'c']) {
          const own = all.filter(found => found.sensor === sensor && found.at < start + hour).sort(byTime)
          if (keptSince > 0) continue
          const points = store.series(sensor, start, start + hour, 1000).points
          expect(points.map(({ at, mean }) => ({ at, mean }))).toEqual(
            own.map(({ at, value }) => ({ at, mean: value })),
          )
        }
      }
      if (keptSince === 0)
        for (const width of widths) {
          const { kept, anew } = summaries(store, folder, width, [start, start + 9 * hour])
          expect(kept.map(({ sum, ...exact }) => exact)).toEqual(anew.map(({ sum, ...exact }) => exact))
          for (const [index, { sum, count }] of kept.entries())
            expect(Math.abs(sum - anew[index]!.sum)).toBeLessThanOrEqual(1e-9 * count)
        }
      store.close()
    }),
    { numRuns: 120, seed: 20 },
  )
})

it('sealing empties the journal and keeps every reading; numbers of groups go on after it', () => {
  const folder = temporaryFolder()
  const readings = Array.from({ length: 5000 }, (_, index): Reading => {
    const at = start + index * 10_000
    return { sensor: `s${index % 7}`, at, value: index / 16, receivedAt: at + 20 }
  })
  let store = openStore(folder)
  store.append(readings.slice(0, 4000))
  expect(onDisk(folder)).toEqual({ groups: 1, sealed: 0 })
  sealed(store)
  expect(onDisk(folder)).toEqual({ groups: 0, sealed: 4000 })
  store.close()
  store = openStore(folder)
  expect(store.append(readings)).toEqual(readings.slice(4000))
  store.close()
  store = openStore(folder)
  expect([...store.readings(0, Number.POSITIVE_INFINITY)].flat()).toEqual(readings)
  expect(store.append(readings)).toEqual([])
  store.close()
})

it('a sensor is sealed when its hour is over, or before when very much waits', () => {
  const folder = temporaryFolder()
  const store = openStore(folder)
  const at = start + 1000
  store.append([{ sensor: 'a', at, value: 20, receivedAt: at }])
  while (store.sealSome(start + hour));
  expect(onDisk(folder).sealed).toBe(0)
  while (store.sealSome(start + hour + 300_000));
  expect(onDisk(folder).sealed).toBe(1)
  const many = Array.from({ length: 120_000 }, (_, index) => ({
    sensor: 'b',
    at: at + index,
    value: 1,
    receivedAt: at,
  }))
  store.append(many)
  while (store.sealSome(start));
  expect(onDisk(folder).sealed).toBe(120_001)
  store.close()
})
