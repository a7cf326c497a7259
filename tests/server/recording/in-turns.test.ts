import { afterEach, expect, it, vi } from 'vitest'
import { Contents } from '../../../server/recording/contents.js'
import { readRecording } from '../../../server/recording/read.js'
import { sensorLookup } from '../../../server/recording/sensor-names.js'
import { readingRows } from '../../../server/table/index.js'
import { shop } from '../http/fakes.js'
import { inPieces } from './recorded.js'

afterEach(() => {
  vi.restoreAllMocks()
})

const columns = 600
const rows = 150
const sensors = Array.from({ length: columns }, (_, i) => ({ ...shop.sensors[0]!, id: `s-${i}`, name: `sensor ${i}` }))
const lines = [
  ['time', ...sensors.map(({ id }) => id)].join(','),
  ...Array.from({ length: rows }, (_, i) =>
    [new Date(Date.UTC(2026, 0, 14) + i * 60_000).toISOString(), ...sensors.map(() => '20.5')].join(','),
  ),
]
const bytes = new TextEncoder().encode(lines.join('\n'))

const read = async (each: (readings: number) => void = () => undefined): Promise<Contents> => {
  const contents = new Contents()
  const options = { lookup: sensorLookup(sensors), zone: 'UTC' }
  for await (const group of readRecording(() => inPieces(bytes, 65_536), options, contents)) each(group.length)
  return contents
}

it('a recording of many columns is looked over, understood and read in turns of the event loop', async () => {
  // whoever asks whether a turn is over hears yes: so each step that can be put off is put off
  let now = 0
  vi.spyOn(performance, 'now').mockImplementation(() => {
    now += 20
    return now
  })
  let turns = 0
  let ended = false
  const count = (): void => {
    turns += 1
    if (!ended) setImmediate(count)
  }
  setImmediate(count)
  const { readings } = await read()
  ended = true
  expect(readings).toBe(columns * rows)
  // each column: whether its heading is a time, what its cells are, and its role and its sensor, looked over and then read
  expect(turns).toBeGreaterThan(6 * columns + rows)
})

it('readings of a recording are handed on in groups that take little time to be stored', async () => {
  const groups: number[] = []
  await read(length => groups.push(length))
  expect(groups.reduce((sum, length) => sum + length, 0)).toBe(columns * rows)
  expect(Math.max(...groups)).toBeLessThanOrEqual(200)
})

it('a table that somebody sends is read a line a step', () => {
  const steps = readingRows(`time,value\n${'2026-01-14 08:00,1\n'.repeat(5000)}`, ['time', 'value'], ['time'])
  let count = 0
  while (!steps.next().done) count += 1
  expect(count).toBeGreaterThanOrEqual(5001)
})
