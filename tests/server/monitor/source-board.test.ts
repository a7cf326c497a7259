import { describe, expect, it } from 'vitest'
import type { Sensor, Source } from '../../../core/shop.js'
import { SourceBoard } from '../../../server/monitor/source-board.js'
import { shop } from '../http/fakes.js'

const minute = 60_000
const hour = 60 * minute
const start = Date.UTC(2026, 0, 12, 6)
const kinds: Source[] = [
  { id: 'dock', name: 'Dock door', kind: 'door' },
  { id: 'vent', name: 'Roof vent', kind: 'vent' },
  { id: 'oven', name: 'Oven', kind: 'heat source' },
]
const exposedTo = kinds.map(({ id }) => id)
const stateOf = (source: string): Sensor => ({ ...shop.sensors[3]!, at: { kind: 'source', source } })

/** What disturbs after sources were opened (1) and shut (0), so many minutes after the start. */
const disturbing = (told: [source: string, minutes: number, value: number][], now: number) => {
  const board = new SourceBoard({ ...shop, sources: kinds })
  for (const [source, at, value] of told) board.take(stateOf(source), start + at * minute, value)
  return board.disturbing(exposedTo, start + now)
}

describe('what disturbs a machine', () => {
  it('is a vent that was opened lately, as a door is; a heat source has nothing to shut', () => {
    expect(disturbing([['vent', 0, 1]], 10 * minute)).toEqual({
      source: 'vent',
      name: 'Roof vent',
      from: start,
      to: null,
    })
    expect(disturbing([['oven', 0, 1]], 10 * minute)).toBeNull()
  })
  it('is no vent that has been open for hours: that is how the shop is run', () => {
    const open = disturbing([['vent', 0, 1]], 2 * hour)
    expect(open?.source).toBe('vent')
    expect(disturbing([['vent', 0, 1]], 4 * hour)).toBeNull()
    const afterTheDay = disturbing(
      [
        ['vent', 0, 1],
        ['vent', 600, 0],
      ],
      601 * minute,
    )
    expect(afterTheDay).toBeNull()
  })
  it('is the open door before the open vent, and what is open before what was shut', () => {
    const both = disturbing(
      [
        ['vent', 0, 1],
        ['dock', 5, 1],
      ],
      10 * minute,
    )
    expect(both?.source).toBe('dock')
    const doorShut = disturbing(
      [
        ['dock', 0, 1],
        ['vent', 2, 1],
        ['dock', 8, 0],
      ],
      10 * minute,
    )
    expect(doorShut?.source).toBe('vent')
  })
})
