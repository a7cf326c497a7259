import type { Reading } from '../../../server/ingest/reading.js'
import { type Random, randomStream } from '../../../simulators/random.js'
import { now } from '../http/fakes.js'

const minute = 60_000
const day = 86_400_000

/** A stretch of the invented mill's life, by formulas of the test's own. */
interface MadeWeek {
  readings: Reading[]
  /** °C at a moment, ms */
  air: (at: number) => number
  screw: (at: number) => number
  column: (at: number) => number
  part: (at: number) => number
  from: number
  draws: Random
}

/** days of minutes: weather, days that are not alike, a door now and then; bodies follow with 45 min and 3 h */
export const madeWeek = (seed: number, days = 10): MadeWeek => {
  const draws = randomStream(seed, 'a made week')
  const from = now - days * day
  const count = days * 1440
  const [air, screw, column, part] = [0, 1, 2, 3].map(() => new Float64Array(count)) as [
    Float64Array,
    Float64Array,
    Float64Array,
    Float64Array,
  ]
  let [weather, door, swing] = [0, 0, 2]
  for (let i = 0; i < count; i++) {
    if (i % 1440 === 0) swing = draws.between(0.5, 3)
    weather = 0.9995 * weather + 0.05 * draws.normal()
    if (draws.uniform() < 0.004) door = -draws.between(1, 6)
    door *= 0.97
    air[i] = 21 + weather + swing * Math.sin((2 * Math.PI * (i - 540)) / 1440) + door
    const follow = (body: Float64Array, timeConstant: number) => {
      body[i] = i === 0 ? air[0]! : body[i - 1]! + (air[i]! - body[i - 1]!) / timeConstant
    }
    follow(screw, 45)
    follow(column, 180)
    follow(part, 20)
  }
  const readings: Reading[] = []
  for (let i = 0; i < count; i++) {
    const at = from + i * minute
    // the mill's file gives its screw's sensor an offset of 0.5 K
    for (const [sensor, value] of [
      ['s-air', air[i]!],
      ['s-screw', screw[i]! - 0.5],
      ['s-column', column[i]!],
    ] as const)
      readings.push({ sensor, at, value: Math.round(value * 100) / 100, receivedAt: at })
  }
  const lookUp = (of: Float64Array) => (at: number) => of[Math.floor((at - from) / minute)]!
  return { readings, air: lookUp(air), screw: lookUp(screw), column: lookUp(column), part: lookUp(part), from, draws }
}

export const steelAlpha = 11.5e-6
export const aluminiumAlpha = 23.6e-6
const [nominal, workAt, columnHeight] = [0.3, 0.4, 0.5]

/** m; what the mill does to a length of 300 mm of aluminium along X, zeroed at a moment: the test's own formula */
export const trueError = ({ screw, column, part }: MadeWeek, at: number, zeroAt: number): number => {
  const growth = (time: number) => steelAlpha * (workAt * (screw(time) - 20) + columnHeight * (column(time) - 20))
  const size = nominal * (steelAlpha * (screw(at) - 20) - aluminiumAlpha * (part(at) - 20))
  return size + growth(at) - growth(zeroAt)
}

export interface MadePart {
  at: number
  /** m; measured less nominal */
  deviation: number
  tool: number
}

/** parts cut at random within the shifts, with what the sender makes of each */
export const madeParts = (week: MadeWeek, count: number, deviation: (at: number, i: number) => number): MadePart[] => {
  const days = Math.round((now - week.from) / day)
  const at = Array.from(
    { length: count },
    () => week.from + Math.floor(week.draws.uniform() * (days - 1)) * day + (6 + 9 * week.draws.uniform()) * 3_600_000,
  ).sort((a, b) => a - b)
  return at.map((time, i) => ({ at: Math.floor(time / minute) * minute, deviation: deviation(time, i), tool: i % 17 }))
}

/** the parts as a shop would write them: mm, the shop's local time */
export const asTable = (parts: readonly MadePart[], moved = 0): string =>
  [
    'Part;Serial;Machine;Feature;Axis;Nominal (mm);Lower limit (mm);Upper limit (mm);Measured (mm);Time of cut;Material;Tool count',
    ...parts.map(({ at, deviation, tool }, i) =>
      [
        'Rail',
        i + 1,
        'Mill',
        'length',
        'X',
        '300',
        '-0.030',
        '0.030',
        (300 + 1000 * deviation).toFixed(4),
        new Date(at + moved + 3_600_000).toISOString().slice(0, 16).replace('T', ' '),
        'aluminium 6061',
        tool,
      ].join(';'),
    ),
  ].join('\n')
