import { expect, it } from 'vitest'
import type { SourcesRecord } from './sources.js'
import { sourcesBars, sourcesTable } from './sources-table.js'

type Cause = SourcesRecord['causes'][number]
const cause = (id: string, truly: number, place: number, effect: Cause['effect'] = null): Cause => ({
  ...{ cause: id, true: truly, place, group: null, effect },
  told: { likely: truly, low: truly, high: truly },
})
const record = (causes: Cause[], chance: number): SourcesRecord => ({
  ...{ shop: 1, machine: 'mill', axis: 'X', moved: 4e-6, chance, yoked: null, causes },
})
const values = (records: SourcesRecord[]) => sourcesBars(records).map(({ value }) => value)

it('the main source must be the first that is told', () => {
  const right = record([cause('outdoors', 0.7, 0), cause('dock-door', 0.1, 1)], 0)
  const wrong = record([cause('outdoors', 0.7, 1), cause('dock-door', 0.1, 0)], 0)
  expect(values([right, right, right, wrong])[0]).toBe(75)
  expect(sourcesTable([right])).toContain('outdoors: 1, told first 1')
})

it('a door counts where it matters and a rerun is not off by as much by chance', () => {
  const did = (off: number) => [cause('dock-door', 0.3, 0, { true: 2e-6, told: 2e-6, off })]
  expect(values([record(did(0.3e-6), 0), record(did(1e-6), 0)])[2]).toBe(50)
  expect(values([record(did(0.3e-6), 0), record(did(1e-6), 1e-6)])[2]).toBe(100)
  expect(values([record([cause('outdoors', 0.3, 0, { true: 2e-6, told: 2e-6, off: 0 })], 0)])[2]).toBeNaN()
})
