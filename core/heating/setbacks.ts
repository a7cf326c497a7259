import { type StepResponse, stepResponse } from './step-response.js'

/** One time the heating (or cooling) was set back and came again, as the air tells it. */
export interface Setback {
  /** the fall after it was set back; null where that cannot be seen */
  away: StepResponse | null
  /** the way back; `at` in ms since 1970, as in `away` */
  back: StepResponse
  /** ms; between the two; to the evening before where the fall cannot be seen */
  length: number
}

/** Mean temperatures of the air over even intervals. */
interface AirCourse {
  /** ms; the middle of each interval, rising */
  at: readonly number[]
  /** °C; null where nothing was believed */
  value: readonly (number | null)[]
}

/** K; a smaller change of the air is ordinary. Judgement, no source */
const noticeable = 0.8
/**
 * How far a change must stand out of what doors and thermostats do besides: in times the scatter about the fit, and as
 * the part of the variance that the fit explains. Judgement, no source.
 */
const standsOut = { scatters: 3, explained: 0.4 }
/** ms after midnight; a day on which the heating has not come by then counts as not heated. Judgement, no source */
const lateMorning = 11 * 3_600_000

const hour = 3_600_000

const within = ({ at, value }: AirCourse, from: number, to: number) => {
  const times: number[] = []
  const values: number[] = []
  for (let i = 0; i < at.length; i++)
    if (at[i]! >= from && at[i]! < to && value[i] !== null) {
      times.push((at[i]! - from) / 1000)
      values.push(value[i]!)
    }
  return { times, values }
}

/** A change that can be believed: large, explained, and begun within the window. */
const found = (course: AirCourse, from: number, to: number, away: (change: number) => boolean): StepResponse | null => {
  const { times, values } = within(course, from, to)
  const fit = stepResponse(times, values)
  if (!fit || fit.explained < standsOut.explained) return null
  if (Math.abs(fit.to - fit.from) < Math.max(noticeable, standsOut.scatters * fit.scatter)) return null
  // what would still be going on for days tells no level to go to: the part that was seen must be most of it
  const seen = 1 - Math.exp(-(times.at(-1)! - fit.at) / fit.timeConstant)
  return seen >= 0.5 && away(fit.to - fit.from) ? { ...fit, at: from + fit.at * 1000 } : null
}

/**
 * Every return of the heating (or cooling) that the air at a machine shows.
 *
 * @param mornings ms; midnights that days begin at (days with a clock change are as long as they are)
 */
export const setbacksIn = (course: AirCourse, mornings: readonly number[]): Setback[] => {
  const all: Setback[] = []
  let settled = course.at[0] ?? 0
  for (const midnight of mornings) {
    const back = found(course, midnight, midnight + lateMorning, () => true)
    if (!back) continue
    const direction = Math.sign(back.to - back.from)
    const evening = Math.max(settled, back.at - 90 * hour)
    // it went the other way before, and came as far
    const away = found(course, evening, back.at, change => Math.sign(change) === -direction)
    all.push({ away, back, length: back.at - (away?.at ?? Math.max(evening, midnight - 6 * hour)) })
    settled = Math.max(back.at + 4 * hour, midnight + 12 * hour)
  }
  return all
}
