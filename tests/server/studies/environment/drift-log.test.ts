import { expect, it } from 'vitest'
import { readingDriftLog } from '../../../../server/studies/environment/drift-log.js'
import { readingMeasurements } from '../../../../server/studies/learning/measurement-rows.js'
import { machineWith, screwAxis } from '../../../core/machines.js'
import { whole } from '../../../whole.js'

const zone = 'Europe/Vienna'
const now = Date.UTC(2026, 10, 1)
const log = (...times: string[]) =>
  whole(
    readingDriftLog(
      times.map((time, i) => ({ line: i + 2, cells: { time, value: String(i) }, units: { value: 'µm' } })),
      zone,
      now,
    ),
  )

// In 2026 clocks in the EU go from 02:00 to 03:00 on 29 March and from 03:00 to 02:00 on 25 October (Directive 2000/84/EC)
it('a log through the hour that clocks repeat is told apart by its order', () => {
  const { points, faults } = log('2026-10-25 01:50', '2026-10-25 02:30', '2026-10-25 02:10', '2026-10-25 03:00')
  expect(faults).toEqual([])
  const minutes = points.map(({ at }) => (at - Date.UTC(2026, 9, 24, 23, 50)) / 60_000)
  expect(minutes).toEqual([0, 40, 80, 130])
})

it('a time that clocks left out, or show twice with nothing to tell which, is refused with its line', () => {
  expect(log('2026-03-29 01:30', '2026-03-29 02:30').faults).toMatchObject([
    { line: 3, problem: expect.stringContaining('does not exist') },
  ])
  expect(log('2026-10-25 02:30', '2026-10-25 04:00').faults).toMatchObject([
    { line: 2, problem: expect.stringContaining('occurs twice') },
  ])
})

it('so is a measurement’s', () => {
  const machine = machineWith({ nodes: ['screw'], axes: [screwAxis('X', 'screw')] })
  const read = (zero: string, time: string) =>
    whole(
      readingMeasurements(
        [{ line: 2, cells: { axis: 'X', zero, time, value: '4 µm', uncertainty: '1 µm' }, units: {} }],
        machine,
        { by: 'Ada', note: '', zone, now },
      ),
    ).faults.map(fault => fault.problem)
  expect(read('2026-03-29 02:30', '2026-03-29 12:00')).toEqual([expect.stringContaining('does not exist')])
  expect(read('2026-10-24 12:00', '2026-10-25 02:30')).toEqual([expect.stringContaining('occurs twice')])
  expect(read('2026-10-24 12:00', '2026-10-25 02:30+01:00')).toEqual([])
})
