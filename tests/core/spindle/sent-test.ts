import { ordinarySpindle } from '../../../simulators/spindle.js'
import { testOf } from './spindle-tests.js'

/** A growth test of the ordinary spindle as the service takes it as a table. */
export const sentTest = (seed: number, time: string) => {
  const { steps, readings } = testOf(ordinarySpindle, seed)
  let end = 0
  const changes = steps.map(({ speed, duration }) => {
    end += duration
    return { at: end - duration, row: `${end - duration},${speed * 60},` }
  })
  const read = readings.map(({ at, growth }) => ({ at, row: `${at},,${growth * 1e6}` }))
  const rows = [...read, ...changes].sort((a, b) => a.at - b.at).map(({ row }) => row)
  return {
    by: 'Ada',
    time,
    toolLength: '120 mm',
    indicatorHeight: '150 mm',
    resolution: '1 µm',
    csv: ['time (s),speed (1/min),growth (µm)', ...rows, `${end},,`].join('\n'),
  }
}

/** Six tools of a job, as somebody types them. */
export const sixTools = [
  { tool: 'T1 face mill', length: '95 mm', speed: '3500 1/min', cutting: '8 min', tolerance: '33 µm', share: '30 %' },
  {
    tool: 'T7 ball end mill',
    length: '120 mm',
    speed: '11500 1/min',
    cutting: '12 min',
    tolerance: '10 µm',
    after: 'T1',
  },
  { tool: 'T2 drill', length: '140 mm', speed: '5000 1/min', cutting: '6 min', tolerance: '50 µm', share: '30 %' },
  {
    tool: 'T4 end mill',
    length: '110 mm',
    speed: '7200 1/min',
    cutting: '14 min',
    tolerance: '23 µm',
    after: 'T1, T2',
  },
  { tool: 'T9 boring bar', length: '180 mm', speed: '2800 1/min', cutting: '9 min', tolerance: '10 µm', after: 'T2' },
  { tool: 'T12 chamfer', length: '80 mm', speed: '8000 1/min', cutting: '3 min', tolerance: '50 µm', share: '30 %' },
]
