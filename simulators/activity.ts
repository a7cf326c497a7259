import type { LocalTime } from './calendar.js'
import type { Plant, SourcePlant } from './plant.js'
import { type Random, randomStream } from './random.js'

interface Span {
  from: number
  to: number
}

export const isWorkingTime = (plant: Plant, local: LocalTime): boolean =>
  plant.workingHours.weekdays.includes(local.weekday) &&
  local.hour >= plant.workingHours.from &&
  local.hour < plant.workingHours.to

/** The spans (local hours) in which a source is open or running on one day of work. */
const spansOfDay = (source: SourcePlant, random: Random): Span[] => {
  const spans: Span[] = []
  if (source.kind === 'door') {
    const { deliveries, traffic } = source
    const open = (number: [number, number], lasts: [number, number], perHour: number) => {
      const count = Math.round(random.between(...number))
      for (let i = 0; i < count; i++) {
        const from = random.between(...deliveries.hours)
        spans.push({ from, to: from + random.between(...lasts) / perHour })
      }
    }
    open(deliveries.number, deliveries.minutes, 60)
    if (traffic) open(traffic.number, traffic.seconds, 3600)
  } else if (source.kind === 'heat source' && source.activity.kind === 'cycling') {
    const { on, off, hours } = source.activity
    for (let hour = hours[0]; hour < hours[1]; ) {
      const to = hour + random.between(on[0], on[1]) / 60
      spans.push({ from: hour, to })
      hour = to + random.between(off[0], off[1]) / 60
    }
  } else if (source.kind === 'heat source' && source.activity.kind === 'daily') {
    spans.push({ from: source.activity.hours[0], to: source.activity.hours[1] })
  } else if (source.kind === 'vent' && source.hours !== 'always') {
    spans.push({ from: source.hours[0], to: source.hours[1] })
  }
  return spans
}

/**
 * Whether a source is open or running: by hand first, then by the scenario, then by its own day.
 *
 * @param override a scenario's word, null when it has none
 * @returns a function of time, local time and whether the heater of the source's zone is on
 */
export const createActivity = (
  plant: Plant,
  source: SourcePlant,
  seed: number,
  override: (source: string, time: number) => boolean | null,
) => {
  let byHand: boolean | null = null
  let day = Number.NaN
  let spans: Span[] = []
  const weekdays =
    source.kind === 'heat source' && source.activity.kind === 'daily'
      ? source.activity.weekdays
      : plant.workingHours.weekdays

  return {
    setByHand: (active: boolean | null): void => {
      byHand = active
    },
    at: (time: number, local: LocalTime, zoneHeaterOn: boolean): boolean => {
      if (byHand !== null) return byHand
      const arranged = override(source.id, time)
      if (arranged !== null) return arranged
      if (source.kind === 'vent' && source.hours === 'always') return true
      if (source.kind === 'heat source' && source.activity.kind === 'heater of its zone') return zoneHeaterOn
      if (local.day !== day) {
        day = local.day
        spans = weekdays.includes(local.weekday)
          ? spansOfDay(source, randomStream(seed, `activity/${source.id}/${day}`))
          : []
      }
      return spans.some(span => local.hour >= span.from && local.hour < span.to)
    },
  }
}
