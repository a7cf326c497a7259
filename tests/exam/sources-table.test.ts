import { expect, it } from 'vitest'
import type { SourcesRecord } from './sources.js'
import { sourcesBars, sourcesTable } from './sources-table.js'

type Cause = SourcesRecord['causes'][number]
const cause = (id: string, truly: number, place: number, effect: Cause['effect'] = null): Cause => ({
  ...{ cause: id, true: truly, place, group: null, effect },
  told: { likely: truly, low: truly, high: truly },
})
const record = (causes: Cause[], chance: number, among: string[] = []): SourcesRecord => ({
  ...{ shop: 1, machine: 'mill', axis: 'X', moved: 4e-6, chance, yoked: null, causes, among },
})
const barOf = (records: SourcesRecord[], name: RegExp) => sourcesBars(records).find(bar => name.test(bar.name))!.value

it('the main source must be the first that is told', () => {
  const right = record([cause('outdoors', 0.7, 0), cause('dock-door', 0.1, 1)], 0)
  const wrong = record([cause('outdoors', 0.7, 1), cause('dock-door', 0.1, 0)], 0)
  expect(barOf([right, right, right, wrong], /told first/)).toBe(75)
  expect(sourcesTable([right])).toContain('outdoors: 1, told first 1')
  const tied = record([cause('outdoors', 0.7, 1), cause('week', 0.65, 0)], 0)
  expect(sourcesTable([right, wrong, tied])).toContain('truly did as much but for a tenth: 1')
  expect(barOf([tied], /told first/)).toBe(0)
})

it('a door counts where it matters and a rerun is not off by as much by chance', () => {
  const shown = { likely: 2e-6, low: 1e-6, high: 3e-6 }
  const did = (off: number) => [cause('dock-door', 0.3, 0, { true: 2e-6, told: 2e-6, off, shown })]
  expect(barOf([record(did(0.3e-6), 0), record(did(1e-6), 0)], /door shut/)).toBe(50)
  expect(barOf([record(did(0.3e-6), 0), record(did(1e-6), 1e-6)], /door shut/)).toBe(100)
  const outdoors = cause('outdoors', 0.3, 0, { true: 2e-6, told: 2e-6, off: 0, shown })
  expect(barOf([record([outdoors], 0)], /door shut/)).toBeNaN()
})

it('of a heat source it is told whether the interval that is shown holds what it did', () => {
  const oven = (low: number, high: number) =>
    cause('oven', 0.3, 0, { true: 2e-6, told: 1e-6, off: 1e-6, shown: { likely: 1e-6, low, high } })
  const table = sourcesTable([record([oven(0.5e-6, 2.5e-6)], 0), record([oven(0.5e-6, 1.5e-6)], 0)])
  expect(table).toMatch(/heat sources likewise: 2, .* within the interval that is shown in 1$/m)
})

it('an answer that names several is counted apart from one that names a single cause', () => {
  const causes = [cause('week', 0.7, 1), cause('outdoors', 0.1, 0)]
  const several = record(causes, 0, ['outdoors', 'week'])
  const wrong = record(causes, 0, ['outdoors'])
  const right = record(causes, 0, ['week'])
  expect(barOf([several, several, right, wrong], /single source/)).toBe(50)
  expect(barOf([several], /told first/)).toBe(0)
  expect(sourcesTable([several, right, wrong, record(causes, 0)])).toContain(
    'named alone: 2, right 1; "X or Y, it cannot be told which": 1, the true one among them 1; none said to stand out: 1',
  )
})

it('an interval counts where a share is told', () => {
  const told = (low: number, high: number) => ({ ...cause('week', 0.7, 0), told: { likely: 0.6, low, high } })
  const untold = { ...cause('heater', 0.9, 0), told: null, place: null }
  expect(barOf([record([told(0.5, 0.8), told(0.5, 0.65), untold], 0)], /intervals/)).toBe(50)
})
