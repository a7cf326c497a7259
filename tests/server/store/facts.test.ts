import { describe, expect, test } from 'vitest'
import type { VerdictChange } from '../../../core/state.js'
import type { Refusal } from '../../../server/ingest/reading.js'
import { openStore } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'

const start = Date.UTC(2024, 0, 15, 6)
const change = (machine: string, workClass: string, at: number, verdict: VerdictChange['verdict']): VerdictChange => ({
  machine,
  workClass,
  at,
  verdict,
  thermalErrorIndex: verdict === 'unknown' ? null : 12.5,
  reason: { kind: 'pretension', axis: 'X', excess: 1.2 },
})

test('verdict changes are read by machine and span, and the last of each class is known', () => {
  const folder = temporaryFolder()
  const store = openStore(folder)
  const changes = [
    change('mill-1', 'bores', start, 'unknown'),
    change('mill-1', 'seats', start + 1, 'fit'),
    change('mill-1', 'bores', start + 2, 'settling'),
    change('mill-2', 'bores', start + 3, 'unfit'),
    change('mill-1', 'bores', start + 4, 'fit'),
  ]
  for (const each of changes) store.recordVerdict(each)
  store.close()
  const again = openStore(folder)
  expect(again.verdicts('mill-1', start + 1, start + 4)).toEqual([changes[1], changes[2]])
  expect(again.verdicts('mill-3', 0, Number.POSITIVE_INFINITY)).toEqual([])
  expect(again.lastVerdicts()).toHaveLength(3)
  expect(again.lastVerdicts()).toEqual(expect.arrayContaining([changes[1], changes[3], changes[4]]))
  again.close()
})

test('datums keep who, why and the temperatures, and never share an id', () => {
  const store = openStore(temporaryFolder())
  const datum = { machine: 'mill-1', at: start, by: 'R. Iron', note: 'first part proved', temperatures: { bed: 20.25 } }
  const first = store.addDatum(datum)
  const second = store.addDatum({ ...datum, at: start - 1, note: '' })
  expect(first).toEqual({ ...datum, id: first.id })
  expect(second.id).not.toBe(first.id)
  expect(store.datums('mill-1')).toEqual([second, first])
  expect(store.datums('mill-2')).toEqual([])
  store.close()
})

describe('refusals', () => {
  const refusal = (index: number, reason = 'not a number'): Refusal => ({
    at: start + index,
    topic: 'shop/a',
    reason,
    sample: `payload ${index}`,
  })

  test('are counted for ever, with the newest 500 kept to look at', () => {
    const folder = temporaryFolder()
    const store = openStore(folder)
    store.recordRefusals(Array.from({ length: 1200 }, (_, index) => refusal(index)))
    store.recordRefusal(refusal(1200, 'unknown topic'))
    store.recordRefusals([])
    store.close()
    const again = openStore(folder)
    again.recordRefusal(refusal(1201))
    const { counts, samples } = again.refusals()
    expect(counts).toEqual([
      { reason: 'not a number', count: 1201 },
      { reason: 'unknown topic', count: 1 },
    ])
    expect(samples).toHaveLength(500)
    expect(samples.slice(0, 2)).toEqual([refusal(1201), refusal(1200, 'unknown topic')])
    again.close()
  })
})
