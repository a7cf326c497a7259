import { expect, test } from 'vitest'
import { openStore } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'

const start = Date.UTC(2026, 0, 14, 6)
const signed = { by: 'R. Iron', note: 'reference sphere' }
const measurement = (at: number) => ({
  machine: 'mill-1',
  axis: 'X',
  position: 0.25,
  zeroAt: start,
  at,
  value: 4.25e-6,
  uncertainty: 0.5e-6,
  enteredAt: at + 1,
  ...signed,
})

test('logs, measurements and factors are still there after the database was closed', () => {
  const folder = temporaryFolder()
  const store = openStore(folder)
  const points = [
    { at: start, value: 0 },
    { at: start + 60_000, value: -1.5e-6 },
  ]
  const log = store.addDriftLog({ machine: 'mill-1', axis: 'Z', sign: -1, enteredAt: start, ...signed, points })
  const [later, sooner] = store.addMeasurements([measurement(start + 2), measurement(start + 1)])
  const applied = store.addFactorChange({
    machine: 'mill-1',
    at: start,
    ...signed,
    factors: { 'X screw': 1.1 },
    shown: { nominal: 3e-6, corrected: 1e-6, occasions: 4, measurements: 12 },
  })
  const back = store.addFactorChange({ machine: 'mill-1', at: start + 1, ...signed, factors: null, shown: null })
  store.close()

  const again = openStore(folder)
  expect(again.driftLogs('mill-1')).toEqual([log])
  expect(again.driftLogs('mill-2')).toEqual([])
  expect(again.measurements('mill-1')).toEqual([sooner, later])
  expect(again.factorChanges('mill-1')).toEqual([back, applied])
  expect(again.factorChanges('mill-2')).toEqual([])
  again.close()
})

test('a measurement is set aside once, and stays on record', () => {
  const store = openStore(temporaryFolder())
  const [one] = store.addMeasurements([measurement(start + 1)])
  const how = { at: start + 5, by: 'R. Iron', note: 'the sphere was loose' }
  expect(store.setAside(one!.id, how)).toBe(true)
  expect(store.setAside(one!.id, { ...how, note: 'again' })).toBe(false)
  expect(store.measurements('mill-1')).toEqual([{ ...one, setAside: how }])
  store.close()
})

test('of measurements that cannot all be stored, none is', () => {
  const store = openStore(temporaryFolder())
  const broken = { ...measurement(start + 2), axis: null as unknown as string }
  expect(() => store.addMeasurements([measurement(start + 1), broken])).toThrow(/NOT NULL/)
  expect(store.measurements('mill-1')).toEqual([])
  store.close()
})
