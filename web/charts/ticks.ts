import { DateTime } from 'luxon'
import { formatClock, type Zone, zoneName } from '../../core/format.js'

interface Tick {
  /** ms since 1970 */
  value: number
  label: string
}

type Unit = 'minutes' | 'hours' | 'days' | 'months'

/** steps people count in, ms as they ordinarily are */
const steps: readonly { unit: Unit; size: number; length: number }[] = [
  ...[1, 2, 5, 10, 15, 30].map(size => ({ unit: 'minutes' as const, size, length: size * 60_000 })),
  ...[1, 2, 3, 6, 12].map(size => ({ unit: 'hours' as const, size, length: size * 3_600_000 })),
  ...[1, 2, 4, 7, 14].map(size => ({ unit: 'days' as const, size, length: size * 86_400_000 })),
  ...[1, 2, 3, 6, 12].map(size => ({ unit: 'months' as const, size, length: size * 30 * 86_400_000 })),
]

/**
 * Round moments of the shop's day, for a chart's time axis.
 *
 * @param from ms
 * @param to   ms
 * @param zone IANA name
 * @param most about how many there is room for
 */
export const timeTicks = (from: number, to: number, zone: Zone, most: number): Tick[] => {
  const step = steps.find(s => (to - from) / s.length <= most) ?? steps.at(-1)!
  const begin = DateTime.fromMillis(from, { zone: zoneName(zone), locale: 'en-GB' })
  const ticks: Tick[] = []
  let anchor = begin.startOf(step.unit === 'months' ? 'year' : step.unit === 'days' ? 'month' : 'day')
  // counted anew from each month or day, so that ticks fall on the 1st or on midnight also where clocks change
  while (anchor.toMillis() < to) {
    const next = anchor.plus({ [step.unit === 'months' ? 'years' : step.unit === 'days' ? 'months' : 'days']: 1 })
    for (let n = 0; ; n += step.size) {
      // hours by the clock on the wall, so that noon stays noon on a day of 23 or 25 hours
      const tick = step.unit === 'hours' ? anchor.set({ hour: n }) : anchor.plus({ [step.unit]: n })
      if (tick >= next || tick.toMillis() > to) break
      // the last of a month must not crowd the first of the next
      const crowded = step.unit === 'days' && next.diff(tick, 'days').days < step.size / 2
      // an hour that the clocks leave out falls on the next one
      const twice = ticks.at(-1)?.value === tick.toMillis()
      if (tick.toMillis() >= from && !crowded && !twice)
        ticks.push({ value: tick.toMillis(), label: labelOf(tick, step.unit, zone) })
    }
    anchor = next
  }
  return ticks
}

const labelOf = (tick: DateTime, unit: Unit, zone: Zone): string => {
  if (unit === 'months') return tick.toFormat('MMM yyyy')
  if (unit === 'days') return tick.toFormat('d MMM')
  return tick.hour === 0 && tick.minute === 0 ? tick.toFormat('ccc d MMM') : formatClock(tick.toMillis(), zone)
}
