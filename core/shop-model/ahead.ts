import { type Courses, weekColumns } from './courses.js'
import { type Drive, drives } from './drives.js'
import { add, asDrawn, carriedOn, coolantsLast, difference, type Effects, type Which } from './effects.js'
import { type Act, type Acting, actingOn, hallTerms, held, partAtWork, runHalls, sunByHour } from './hall.js'
import { varianceOf } from './known.js'
import { lagged } from './lag.js'
import type { HallModel, ShopModel } from './model.js'
import { type Pulling, pullingOf } from './pulling.js'
import { answersTheAir } from './thermostat.js'

/** stands in a plan for the heating and cooling of the shop: `on` as they keep it at work, off as out of working hours */
export const shopHeating = 'shop-heating'

/** What is to happen to a source. */
export interface PlannedSource {
  /** its id, or `shopHeating` */
  source: string
  /** interval from now, 0 the first, in which it happens */
  at: number
  /** opened or switched on; else shut or off */
  on: boolean
}

/** s; how much of the past is run through first, so that the heavy parts of the shop have their temperature by now. Judgement */
const lead = 3 * 86_400
/** intervals over which is taken by how much the model is off at present */
const recent = 3
/** K; a smaller setback is none. Judgement */
const leastSetback = 0.5

interface Run {
  air: Effects
  pulls: Map<string, Float64Array>
  kept: Float64Array[]
}

/**
 * A shop ahead, by its learned model: from now on the outdoors go as in the last 24 hours from where they are, the week goes on, and
 * sources stay as they are or change as planned.
 */
export class ShopAhead {
  /** of all sources that sensors tell of */
  readonly drives: readonly Drive[]
  private readonly heatings: ReadonlySet<string>
  private readonly pulling: Pulling[]
  private readonly courses: Courses
  private readonly outdoors: Float64Array
  private readonly begin: number
  /** of the past, intervals that are not run along */
  private readonly cut: number
  private readonly acting: Acting
  private readonly measured: ReadonlyMap<string, Float64Array>
  private readonly asItIs = new Map<Which, Run>()

  /**
   * @param past    measured up to now
   * @param clock   of the intervals ahead
   * @param present what each source's sensor told last: whether it is open or runs
   */
  constructor(
    private readonly model: ShopModel,
    private readonly past: Courses,
    clock: Pick<Courses, 'hour' | 'weekday' | 'works'>,
    present: ReadonlyMap<string, boolean>,
  ) {
    const { spacing } = past
    const cut = Math.max(0, past.length - Math.round(lead / spacing))
    this.begin = past.length - cut
    const steps = clock.hour.length
    const goingOn = (values: Float64Array) => {
      const all = new Float64Array(this.begin + steps)
      all.set(held(values).subarray(cut))
      return all.fill(all[this.begin - 1]!, this.begin)
    }
    const led = past.outdoors && goingOn(past.outdoors)
    const day = Math.round(86_400 / spacing)
    if (led && this.begin > day)
      for (let i = this.begin; i < led.length; i++)
        led[i] = led[this.begin - day + ((i - this.begin) % day)]! + led[this.begin - 1]! - led[this.begin - 1 - day]!
    this.courses = {
      ...past,
      from: past.from + cut * spacing * 1000,
      length: this.begin + steps,
      outdoors: led,
      hour: Float64Array.of(...past.hour.subarray(cut), ...clock.hour),
      weekday: Uint8Array.of(...past.weekday.subarray(cut), ...clock.weekday),
      works: Uint8Array.of(...past.works.subarray(cut), ...clock.works),
    }
    this.outdoors = led ?? new Float64Array(this.courses.length)
    this.measured = new Map(past.places.map(({ id, temperature }) => [id, goingOn(temperature)]))
    this.drives = drives(past)
    this.heatings = new Set(this.drives.filter(drive => answersTheAir(past, drive)).map(({ source }) => source.id))
    this.acting = { ...actingOn(this.courses, []), sun: sunByHour(this.courses) }
    this.pulling = this.drives.map(drive => pullingOf(drive, past, present))
    this.cut = cut
  }

  /** Whether a source is the shop's own heating: see `answersTheAir`. */
  isHeating(source: string): boolean {
    return this.heatings.has(source)
  }

  /** Whether the shop's heating or cooling is set back out of working hours, as far as was learned; whether it works now. */
  get heating(): { isSetBack: boolean; on: boolean } {
    const by = (name: 'setback' | 'rest') =>
      Math.max(...this.model.halls.map(({ values }) => values[hallTerms.indexOf(name)]!), 0)
    const on = this.model.halls[0] !== undefined && this.works(this.model.halls[0], this.begin - 1)
    return { isSetBack: Math.max(by('setback'), by('rest')) >= leastSetback, on }
  }

  /** What planned changes do to the air at each place, K in each interval from now on, against sources that stay as they are. */
  of(plan: readonly PlannedSource[], which: Which): Effects {
    const was = this.heldRun(which)
    const then = this.run(plan, which, was)
    const found: Effects = new Map(
      this.model.halls.map(({ place }) => [place, difference(then.air.get(place)!, was.air.get(place)!)]),
    )
    const { spacing } = this.courses
    carriedOn(this.model, this.courses, found, which, (source, lag) => {
      const [a, b] = [then.pulls.get(source), was.pulls.get(source)]
      return a && b ? lagged(difference(a, b), lag, spacing, 0) : null
    })
    return new Map([...found].map(([place, values]) => [place, values.subarray(this.begin)]))
  }

  /** °C in each interval from now on, by place: as the model has it, and what it was off by lately fades. */
  expected(plan: readonly PlannedSource[], which: Which): Effects {
    const { halls, places } = this.model
    const { spacing } = this.courses
    const was = this.heldRun(which)
    const run = plan.length > 0 ? this.run(plan, which, was) : was
    const all = new Map<string, Float64Array>(this.measured)
    const goOn = (place: string, model: Float64Array, memory: number) => {
      const measured = this.measured.get(place)!
      let off = 0
      for (let k = 1; k <= recent; k++) off += (measured[this.begin - k]! - model[this.begin - k]!) / recent
      const course = measured.slice()
      for (let i = this.begin; i < course.length; i++) {
        off *= memory
        course[i] = model[i]! + off
      }
      all.set(place, course)
    }
    for (const { place, memory } of halls) goOn(place, run.air.get(place)!, memory ** (spacing / 1800))
    const week = weekColumns(this.courses)
    for (const { place, influences, constant, memory } of coolantsLast(places, this.courses)) {
      const sum = new Float64Array(this.courses.length).fill(constant)
      for (const { of, kind, lags, factors, drawn } of influences) {
        const by = asDrawn(which, factors, drawn)
        const course = kind === 'place' ? all.get(of) : run.pulls.get(of)
        lags.forEach((lag, k) => {
          if (!by[k]) return
          const column =
            kind === 'week' ? week[lag]! : course && lagged(course, lag, spacing, kind === 'place' ? undefined : 0)
          if (column) add(sum, column, by[k])
        })
      }
      goOn(place, sum, memory)
    }
    return new Map([...all].map(([place, values]) => [place, values.subarray(this.begin)]))
  }

  /** K, standard; by how much the model is off by itself, so many intervals from now: what it does not explain, as that comes back. */
  offBy(place: string, k: number): number {
    const { halls, places } = this.model
    const hall = halls.find(each => each.place === place)
    const { spacing } = this.courses
    if (hall) return this.unexplained(hall) * Math.sqrt(1 - hall.memory ** ((2 * (k + 1) * spacing) / 1800))
    const own = places.find(each => each.place === place)!
    const followed = own.influences.flatMap(({ of, kind, factors }) =>
      kind === 'place' ? [this.offBy(of, k) * factors.reduce((a, b) => a + b, 0)] : [],
    )
    return Math.hypot(this.unexplained(own) * Math.sqrt(1 - own.memory ** (2 * (k + 1))), ...followed)
  }

  private unexplained({ place, explained }: Pick<HallModel, 'place' | 'explained'>): number {
    const values = this.past.places.find(({ id }) => id === place)!.temperature
    return Math.sqrt(varianceOf(values) * (1 - explained))
  }

  private heldRun(which: Which): Run {
    const known = this.asItIs.get(which) ?? this.run([], which, null)
    this.asItIs.set(which, known)
    return known
  }

  /** @param was the run in which sources stay as they are; null: this is it */
  private run(plan: readonly PlannedSource[], which: Which, was: Run | null): Run {
    const { halls } = this.model
    const running = halls.map(hall => ({ hall, values: asDrawn(which, hall.values, hall.drawn) }))
    const acts = new Map(this.pulling.map(each => [each.drive.source.id, this.actOf(each, plan)]))
    const run = runHalls(running, this.courses, { ...this.acting, pulls: acts }, this.measured, {
      kept: was?.kept ?? ('measured' as const),
      together: true,
      ahead: this.begin,
      heated: this.heatedOf(plan),
    })
    const air: Effects = new Map(halls.map(({ place }, z) => [place, run.air[z]!]))
    const pulls = new Map(
      this.drives.map(drive => [drive.source.id, this.pullOf(drive, acts.get(drive.source.id)!, air)]),
    )
    return { air, pulls, kept: run.kept }
  }

  /** Each change of the heating holds until the next one, or until the hours of work begin anew. */
  private heatedOf(plan: readonly PlannedSource[]): Float64Array {
    const { length } = this.courses
    const heated = new Float64Array(length).fill(Number.NaN)
    const hall = this.model.halls[0]
    if (!hall) return heated
    for (const { source, at, on } of [...plan].sort((a, b) => a.at - b.at)) {
      if (source !== shopHeating) continue
      heated.fill(Number.NaN, this.begin + at)
      for (let i = this.begin + at; i < length; i++) {
        if (i > this.begin + at && this.works(hall, i) && !this.works(hall, i - 1)) break
        heated[i] = Number(on)
      }
    }
    return heated
  }

  /** Whether an interval lies within a hall's hours of work. */
  private works({ values, weekdays }: HallModel, i: number): boolean {
    const { hour, weekday, spacing } = this.courses
    const [from, to] = (['from', 'to'] as const).map(name => values[hallTerms.indexOf(name)]!)
    return weekdays[weekday[i]!]! && partAtWork(hour[i]!, spacing / 3600, from!, to!) > 0.5
  }

  /** What a source does, from what it did on to what is planned. */
  private actOf({ drive, strength, towards, supply, now, inUse }: Pulling, plan: readonly PlannedSource[]): Act {
    const { begin, cut, outdoors } = this
    const { length } = this.courses
    const changes = plan.filter(each => each.source === drive.source.id).sort((a, b) => a.at - b.at)
    const part = new Float64Array(length)
    part.set(drive.part.subarray(cut))
    let on = now
    let next = 0
    for (let i = begin; i < length; i++) {
      while (next < changes.length && changes[next]!.at <= i - begin) on = changes[next++]!.on ? inUse : 0
      part[i] = on * strength
    }
    const { fromOutdoors } = drive
    if (!drive.towards) return { part, towards: null, fromOutdoors }
    const drawn = new Float64Array(length)
    drawn.set(drive.towards.subarray(cut))
    if (towards === 'outdoors') drawn.set(outdoors.subarray(begin), begin)
    else drawn.fill(supply, begin)
    return { part, towards: drawn, fromOutdoors }
  }

  /** What a source pulls with at the air where it is, as that was run. */
  private pullOf({ pull: did, around }: Drive, { part, towards }: Act, air: Effects): Float64Array {
    const pull = part.slice()
    pull.set(did.subarray(this.cut))
    if (!towards) return pull
    const last = this.begin - 1
    const airs = around.map(({ id }) => {
      const measured = this.measured.get(id)!
      const run = air.get(id)
      return { at: run ?? measured, off: run ? measured[last]! - run[last]! : 0 }
    })
    for (let i = this.begin; i < pull.length; i++) {
      if (part[i] === 0) continue
      let sum = 0
      for (const { at, off } of airs) sum += at[i]! + off
      pull[i] = part[i]! * (towards[i]! - sum / airs.length)
    }
    return pull
  }
}
