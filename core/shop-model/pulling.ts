import { median } from '../statistics/median.js'
import type { Courses } from './courses.js'
import type { Drive } from './drives.js'
import { meanOf } from './known.js'
import { openingsOf } from './openings.js'

/** s; a vent or heat source whose runs are shorter than this goes on and off by itself, and is taken to go on doing so as it did over `cyclesOver` */
const shortRun = 3600
const cyclesOver = 4 * 3600
/** intervals; the temperature of a vent's supply is taken from the last of them in which it blew */
const lately = 12

/** How a source acts once it is open or runs. */
export interface Pulling {
  drive: Drive
  /** as `Drive.part` has it */
  strength: number
  towards: 'outdoors' | 'supply' | null
  /** °C */
  supply: number
  /** 0..1; if it stays as it is, and while it is in use */
  now: number
  inUse: number
}

/** How a source pulls, as its past tells. @param present whether sources are open or run now, where a sensor tells */
export const pullingOf = (drive: Drive, { spacing }: Courses, present: ReadonlyMap<string, boolean>): Pulling => {
  const { source, active, part, towards, knownBy } = drive
  const runs = openingsOf(drive, 0)
  const at = [...active.keys()].filter(i => active[i]! > 0.5)
  const cycles =
    source.kind !== 'door' && runs.length > 0 && median(runs.map(({ lasted }) => lasted)) * spacing < shortRun
  const length = Math.round(cyclesOver / spacing)
  const duties = Array.from({ length: Math.floor(active.length / length) }, (_, b) =>
    meanOf(active.subarray(active.length - (b + 1) * length, active.length - b * length)),
  )
  const runsNow = present.get(source.id) ?? (active.at(-1) ?? 0) > 0.5
  const parts = at.map(i => part[i]!)
  return {
    drive,
    supply: towards ? meanOf(at.slice(-lately).map(i => towards[i]!)) || 0 : Number.NaN,
    strength: knownBy === 'state' ? 1 : parts.length > 0 ? median(parts) : 0,
    towards: !towards ? null : drive.fromOutdoors ? 'outdoors' : 'supply',
    now: cycles ? (duties[0] ?? 0) : Number(runsNow),
    inUse: cycles ? median(duties.filter(duty => duty > 0)) || 0 : 1,
  }
}
