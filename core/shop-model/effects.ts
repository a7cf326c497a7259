import type { Courses } from './courses.js'
import { type Drive, drives } from './drives.js'
import { lagged } from './lag.js'
import { weekColumns } from './learn.js'
import type { ShopModel } from './model.js'
import { isThermostat } from './thermostat.js'

/** What one cause did to every place over a span, K, by place: what it would have been without is what it was less this. */
export type Effects = Map<string, Float64Array>

/** a drawing of the block bootstrap, or the most probable factors */
export type Which = number | null

/**
 * The effects of causes on the places of a shop, from a moment on: before it, everything was as it was.
 *
 * @param courses of the span, or more
 * @param begin index of the first interval from which a cause is taken away
 */
export class ShopEffects {
  readonly drives: readonly Drive[]
  private readonly columns = new Map<string, Float64Array>()
  private readonly week: Float64Array[]

  constructor(
    private readonly model: ShopModel,
    private readonly courses: Courses,
    private readonly begin: number,
  ) {
    this.drives = drives(courses)
    this.week = weekColumns(courses)
  }

  /**
   * What causes did together: sources that would have stayed shut or off, the outdoors that would have stayed at their mean, the
   * week that would have been like its mean.
   *
   * @param causes ids of sources, `outdoors`, `week`
   */
  of(causes: readonly string[], which: Which): Effects {
    const found: Effects = new Map()
    const ordered = [...this.model.places].sort((a, b) => this.depth(a.place) - this.depth(b.place))
    for (const place of ordered) {
      const sum = new Float64Array(this.courses.length)
      for (const { of, kind, lags, through, factors, drawn } of place.influences) {
        const by = which === null ? factors : (drawn[which] ?? factors)
        if (kind === 'place') {
          const effect = found.get(of)
          if (!effect || effect.every(value => value === 0)) continue
          lags.forEach((lag, k) => {
            if (by[k]) add(sum, lagged(effect, lag, this.courses.spacing, 0), by[k])
          })
        } else if (causes.includes(of)) {
          // what a coolant does each day is its machine's and its chiller's doing
          if (kind === 'week' && this.depth(place.place) < 2) this.addWeek(sum, lags, by)
          else if (kind === 'week') continue
          else
            lags.forEach((lag, k) => {
              if (by[k]) add(sum, this.column(of, lag, through), by[k])
            })
        }
      }
      found.set(place.place, sum)
    }
    return found
  }

  /** The course of a place as far as it follows other places, but for a constant; null where it is not in the model. */
  following(id: string): Float64Array | null {
    const place = this.model.places.find(each => each.place === id)
    if (!place) return null
    const sum = new Float64Array(this.courses.length)
    for (const { of, kind, lags, factors } of place.influences) {
      const course = kind === 'place' && this.courses.places.find(other => other.id === of)?.temperature
      if (!course) continue
      lags.forEach((lag, k) => {
        add(sum, lagged(course, lag, this.courses.spacing), factors[k]!)
      })
    }
    return sum
  }

  /** Whether a source is the shop's own heating: see `isThermostat`. */
  isHeating(source: string): boolean {
    const drive = this.drives.find(each => each.source.id === source)
    return drive !== undefined && isThermostat(this.courses.places, drive)
  }

  /** shop's air, then the air at machines, then coolants: each follows those before it */
  private depth(place: string): number {
    const kind = this.courses.places.find(({ id }) => id === place)?.kind
    return kind === 'shop air' ? 0 : kind === 'machine air' ? 1 : 2
  }

  private column(of: string, lag: number, through: number): Float64Array {
    const key = `${of} ${lag} ${through}`
    const known = this.columns.get(key)
    if (known) return known
    const { spacing } = this.courses
    const made = lagged(lagged(this.taken(of), through, spacing, 0), lag, spacing, 0)
    this.columns.set(key, made)
    return made
  }

  /** what of a pull is taken away */
  private taken(of: string): Float64Array {
    const { outdoors, length } = this.courses
    const course = of === 'outdoors' ? outdoors : this.drives.find(({ source }) => source.id === of)?.pull
    if (!course) return new Float64Array(length)
    const middle = of === 'outdoors' ? meanFrom(course, this.begin) : 0
    let held = 0
    return course.map((value, i) => {
      if (!Number.isNaN(value)) held = value - middle
      return i < this.begin ? 0 : held
    })
  }

  private addWeek(sum: Float64Array, hours: readonly number[], by: readonly number[]): void {
    const course = new Float64Array(sum.length)
    hours.forEach((hour, k) => {
      add(course, this.week[hour]!, by[k]!)
    })
    const middle = meanFrom(course, this.begin)
    for (let i = this.begin; i < sum.length; i++) sum[i]! += course[i]! - middle
  }
}

const add = (sum: Float64Array, column: Float64Array, factor: number): void => {
  for (let i = 0; i < sum.length; i++) sum[i]! += factor * column[i]!
}

const meanFrom = (course: Float64Array, begin: number): number => {
  let [count, sum] = [0, 0]
  for (let i = begin; i < course.length; i++)
    if (!Number.isNaN(course[i]!)) {
      count += 1
      sum += course[i]!
    }
  return count === 0 ? 0 : sum / count
}
