import { expect, it } from 'vitest'
import type { WorkChange } from '../../../core/happened/index.js'
import type { Inspection } from '../../../core/inspection/index.js'
import { columnsIn } from '../../../server/studies/investigation/columns.js'
import type { Measured } from '../../../server/studies/investigation/groups.js'

const parts = (said: Partial<Inspection> = {}): Measured[] =>
  Array.from({ length: 6 }, (_, i) => {
    const inspection = { tool: '', toolCount: null, lot: '', setup: '', who: '', sequence: null, ...said } as Inspection
    return { at: 10 * i, inspection } as Measured
  })
const change = (kind: WorkChange['kind'], at: number, what = ''): WorkChange => ({
  ...{ id: at, machine: 'mill', kind, at, what, axis: null, larger: null, enteredAt: 0, by: 'Ada', note: '' },
})
const valuesOf = (suspect: string, of: Measured[], changes: WorkChange[]) =>
  columnsIn(of, changes).find(each => each.suspect === suspect)!.values

it('a tool change begins the wear anew, where the table counts nothing itself', () => {
  const changes = [change('tool', 15, 'T4'), change('tool', 35, 'T4')]
  expect(valuesOf('tool wear', parts(), changes)).toEqual([null, null, 0, 1, 0, 1])
  expect(valuesOf('tool', parts(), changes)).toEqual([
    'before the first tool',
    'before the first tool',
    ...Array(4).fill('T4'),
  ])
  expect(valuesOf('tool wear', parts({ toolCount: 7 }), changes)).toEqual(Array(6).fill(7))
  expect(valuesOf('tool', parts({ tool: 'T1' }), changes)).toEqual(Array(6).fill('T1'))
})
it('set-ups and shifts are groups; without an entry nothing is said', () => {
  const changes = [change('set-up', 25), change('shift', 5, 'early'), change('shift', 45, 'late')]
  const setups = valuesOf('set-up', parts(), changes)
  expect(new Set(setups.slice(0, 3)).size).toBe(1)
  expect(new Set(setups.slice(3)).size).toBe(1)
  expect(setups[0]).not.toBe(setups[3])
  expect(valuesOf('who', parts(), changes).slice(1)).toEqual(['early', 'early', 'early', 'early', 'late'])
  expect(valuesOf('set-up', parts(), [])).toEqual(Array(6).fill(''))
})
