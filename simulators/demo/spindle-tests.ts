import { indicatorReadings, ordinarySpindle, type SpindlePlant, spindleGrowth } from '../spindle.js'

/** two spindles of the demo shop, both cooled, so that they grow a fraction of what an ordinary one does */
const spindles: Record<string, SpindlePlant> = {
  'mill-1': { ...ordinarySpindle, friction: 0.22 * ordinarySpindle.friction, highest: 200 },
  'mill-5': { ...ordinarySpindle, friction: 0.16 * ordinarySpindle.friction, power: 1.6, highest: 10_000 / 60 },
}

/** growth tests that the demo shop's people have run, oldest first: on mill 5 the bearings rub more since the first */
export const demoSpindleTests = [
  { machine: 'mill-1', name: 'mill-1-autumn', rubs: 1 },
  { machine: 'mill-1', name: 'mill-1-lately', rubs: 1 },
  { machine: 'mill-5', name: 'mill-5-autumn', rubs: 0.8 },
  { machine: 'mill-5', name: 'mill-5-lately', rubs: 1 },
] as const

/** min after each change of speed at which it is read */
const readAt = [1, 2, 3, 5, 7, 10, 15, 20, 30, 40, 50, 60]
/** of the highest speed, an hour each: up, back down, at rest */
const speeds = [0.25, 0.5, 0.75, 1, 0.5, 0]

/** A growth test as a table: read by a probe in steps of 0.1 µm. */
export const demoSpindleTable = ({ machine, name, rubs }: (typeof demoSpindleTests)[number]): string => {
  const plant = spindles[machine]!
  const steps = speeds.map(part => ({ speed: part * plant.highest, duration: 3600 }))
  const times = speeds.flatMap((_, i) => readAt.map(minutes => 60 * (60 * i + minutes)))
  const growth = spindleGrowth({ ...plant, friction: rubs * plant.friction }, steps, times)
  const seed = [...name].reduce((sum, letter) => sum + letter.charCodeAt(0), 0)
  const read = indicatorReadings(growth, seed, 0.1e-6, 0.15e-6)
  const rows = ['time (min),speed (1/min),growth (µm)', `0,${Math.round(steps[0]!.speed * 60)},0`]
  times.forEach((at, i) => {
    const next = at % 3600 === 0 ? steps[at / 3600] : undefined
    rows.push(`${at / 60},${next ? Math.round(next.speed * 60) : ''},${(read[i]! * 1e6).toFixed(1)}`)
  })
  return `${rows.join('\n')}\n`
}
