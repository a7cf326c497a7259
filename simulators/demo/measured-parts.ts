import { DateTime } from 'luxon'
import { type Random, randomStream } from '../random.js'
import type { MachineTruth, SimulatedShop } from '../shop.js'

// The bins of parts that somebody measured: what the simulator's own truth made of them, with the scatter of cutting and
// gauging on top. All of it is invented.

const MINUTE = 60_000
const DAY = 1440 * MINUTE
/** °C; sizes are what they are called at this temperature (ISO 1) */
const REFERENCE = 20
/** h; first parts are proved on Monday at this time of day, and count until the next Monday */
const PROVED = 6

interface Kind {
  part: string
  feature: string
  machine: string
  name: string
  axis: string
  /** m */
  nominal: number
  /** m, either side of nominal */
  limit: number
  material: string
  /** parts of a day, and the hour at which they begin */
  perDay: number
  from: number
  /** min between two of them, and of a cut */
  every: number
  lasts: number
  /** m; standard deviation of what cutting and gauge add */
  scatter: number
  /** m; what is off from the first part on */
  off: number
  /** m a part by which the tool wears, and after how many it is changed */
  wear: number
  toolLasts: number
  who: readonly [string, string]
}

const kinds: readonly Kind[] = [
  {
    part: 'Bearing housing',
    feature: 'bore distance',
    machine: 'mill-2',
    name: 'Mill 2',
    axis: 'X',
    nominal: 0.12,
    limit: 8.5e-6,
    material: 'aluminium 6061',
    perDay: 13,
    from: 6.3,
    every: 48,
    lasts: 18,
    scatter: 2.2e-6,
    off: -7e-6,
    wear: 0,
    toolLasts: 30,
    who: ['A. Invented', 'B. Invented'],
  },
  {
    part: 'Pump housing',
    feature: 'pocket depth',
    machine: 'mill-3',
    name: 'Mill 3',
    axis: 'Z',
    nominal: 0.06,
    limit: 6.5e-6,
    material: 'aluminium 6061',
    perDay: 11,
    from: 6.8,
    every: 55,
    lasts: 25,
    scatter: 1.6e-6,
    off: 6.5e-6,
    wear: -0.7e-6,
    toolLasts: 19,
    who: ['C. Invented', 'D. Invented'],
  },
]

interface Cut {
  kind: Kind
  from: number
  to: number
  serial: number
}

/** How far the measuring part carries a place, m. */
const carried = ({ displacement: { position, value } }: MachineTruth['axes'][string], s: number): number => {
  const next = Math.min(
    position.length - 1,
    Math.max(
      1,
      position.findIndex(each => each >= s),
    ),
  )
  const [a, b] = [position[next - 1]!, position[next]!]
  return value[next - 1]! + ((s - a) / (b - a)) * (value[next]! - value[next - 1]!)
}

/**
 * What a length comes out as, m over nominal, at the reference temperature: one face is cut at the far end, the other
 * lies at a stop beside the work's place, whose coordinate was taken when the first part was proved.
 */
const cutLength = (
  { axis, nominal, material }: Kind,
  workAt: number,
  now: MachineTruth,
  zero: MachineTruth,
): number => {
  const of = (truth: MachineTruth) => {
    const grown = truth.axes[axis]!
    return { stop: carried(grown, workAt) + grown.structure, face: carried(grown, workAt + nominal) + grown.structure }
  }
  const shrunk = nominal * now.partAlpha[material]! * (now.partTemperature - REFERENCE)
  return of(now).face - of(zero).stop - shrunk
}

/** The working days of the week before a moment, local midnight, oldest first. */
const workingDays = (anchor: number, timeZone: string): DateTime[] =>
  Array.from({ length: 7 }, (_, back) =>
    DateTime.fromMillis(anchor, { zone: timeZone })
      .startOf('day')
      .minus({ days: 7 - back }),
  ).filter(({ weekday }) => weekday <= 5)

const written = (at: number, timeZone: string): string =>
  DateTime.fromMillis(at, { zone: timeZone }).toFormat('yyyy-MM-dd HH:mm')

const heading =
  'Part,Feature,Machine,Axis,Serial,Nominal (mm),Lower limit (mm),Upper limit (mm),Measured (mm),Time of cut,Cut end,Material,Tool,Tool count,Who'

const cutsOf = (kind: Kind, days: readonly DateTime[], random: Random): Cut[] => {
  const cuts: Cut[] = []
  for (const day of days)
    for (let k = 0; k < kind.perDay; k++) {
      const from = day.toMillis() + Math.round(kind.from * 60 + k * kind.every + random.between(-6, 6)) * MINUTE
      cuts.push({ kind, from, to: from + kind.lasts * MINUTE, serial: cuts.length + 1 })
    }
  return cuts
}

/**
 * The parts of the working days before the shop's anchor, as somebody measured them: a bin that the temperatures made, and
 * one that a wearing tool made.
 *
 * @returns to be told of every full minute of the shop; then the table as a person would have it, CSV
 */
export const createMeasuredParts = (shop: SimulatedShop, seed: number) => {
  const { timeZone, machines } = shop.plant
  const days = workingDays(shop.anchor, timeZone)
  const random = randomStream(seed, 'measured parts')
  const cuts = kinds.flatMap(kind => cutsOf(kind, days, random)).sort((a, b) => a.to - b.to)
  const middle = ({ from, to }: Cut) => Math.floor((from + to) / 2 / MINUTE) * MINUTE
  const moments = new Map<number, Cut[]>()
  for (const cut of cuts) moments.set(middle(cut), [...(moments.get(middle(cut)) ?? []), cut])
  const workAt = (kind: Kind) =>
    machines.find(({ id }) => id === kind.machine)!.axes.find(({ id }) => id === kind.axis)!.workAt
  /** of the last Monday, by machine */
  let zero: Record<string, MachineTruth> | null = null
  /** of the first part of each kind since, so that its size was corrected */
  let first = new Map<Kind, number>()
  const rows: string[] = []
  const mm = (length: number) => (length * 1000).toFixed(4)

  const take = (cut: Cut, now: MachineTruth) => {
    const { kind, from, to, serial } = cut
    const proved = first.get(kind)
    if (!zero || proved === undefined) return
    const used = (serial - 1) % kind.toolLasts
    const deviation =
      cutLength(kind, workAt(kind), now, zero[kind.machine]!) -
      proved +
      kind.off +
      kind.wear * used +
      kind.scatter * random.normal()
    const hour = DateTime.fromMillis(from, { zone: timeZone }).hour
    rows.push(
      [
        kind.part,
        kind.feature,
        kind.name,
        kind.axis,
        `${kind.part === kinds[0]!.part ? 'BH' : 'PH'}-${String(serial).padStart(3, '0')}`,
        mm(kind.nominal),
        mm(kind.nominal - kind.limit),
        mm(kind.nominal + kind.limit),
        mm(kind.nominal + deviation),
        written(from, timeZone),
        written(to, timeZone),
        kind.material,
        `T-${Math.floor((serial - 1) / kind.toolLasts) + 1}`,
        used,
        kind.who[hour < 12 ? 0 : 1],
      ].join(','),
    )
  }

  return {
    onMinute: (): void => {
      const now = shop.time()
      if (now < shop.anchor - 16 * DAY || now > shop.anchor) return
      const local = DateTime.fromMillis(now, { zone: timeZone })
      const isMonday = local.weekday === 1 && local.hour === PROVED && local.minute === 0
      const due = moments.get(now)
      // a history that begins within a week: its beginning was proved, as the shop's people do
      if (!isMonday && !due && zero) return
      const truth = shop.truth().machines
      if (isMonday || !zero) {
        zero = truth
        first = new Map(
          kinds.map(kind => [kind, cutLength(kind, workAt(kind), truth[kind.machine]!, truth[kind.machine]!)]),
        )
      }
      for (const cut of due ?? []) take(cut, truth[cut.kind.machine]!)
    },
    /** so far */
    table: (): string => `${[heading, ...rows].join('\n')}\n`,
  }
}
