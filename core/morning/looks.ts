import type { LoopAxis } from '../growth/index.js'
import {
  combinedError,
  contributions,
  type NominalError,
  nominalErrors,
  type Outlook,
  outlookAhead,
  type Sensitivities,
  sensitivities,
  zeroedNow,
} from '../judge/index.js'
import { onTheWay } from '../judge/on-the-way.js'
import { expandedUncertainty, jobUncertainty } from '../judge/uncertainty.js'
import type { CourseAhead } from '../settling/index.js'
import type { Material, WorkClass } from '../shop.js'
import type { JobError } from './answer.js'
import type { PlannedJob } from './planned-job.js'

/** A feature of a job as a work class, as far as it is one. */
export const jobClass = (job: PlannedJob, material: Material, feature = 0): WorkClass => {
  const { length, tolerance, diameter } = job.features[feature]!
  return {
    id: `job-${job.id}`,
    name: job.part,
    tolerance,
    featureLength: length,
    material,
    duration: job.duration,
    share: job.share,
    zeroedAt: job.zeroedAt,
    // a plan does not say how hard a job works its machine
    ownHeat: 'when it shows',
    ...(diameter && { readsDiameter: true }),
    ...(job.speed !== undefined && { spindleSpeed: job.speed }),
  }
}

/** What is counted of an error, as parts of what heat may take; each the worst over features and axes. */
export interface Look {
  /** the error alone */
  alone: number
  /** with the uncertainty that the decision rule asks for, if conditions hold */
  held: number
  /** also with what the air may do until then, and with what is not known of the way there */
  sure: number
  /** lower end of a 90 % interval: as small as the error may be */
  lowest: number
  /** upper end of a 90 % interval: as large as it may become by what may happen on the way */
  highest: number
}

/** A zero that is taken when the job begins: at one place, or with a first part. */
export type Zeroing = 'one place' | 'first part' | null

/** A job on a machine, with its part, as it can be looked at for any time ahead. */
export interface OnMachine {
  job: PlannedJob
  outlook: Outlook
  features: { workClass: WorkClass; axes: LoopAxis[]; slopes: Sensitivities[] }[]
  zeroing: Zeroing
  /** s after the job's start: it is probed again then, before the finishing cut; 0: never */
  probedAfter: number
  /** of the nodes that have learned one, where they are heading as their past tells */
  courses: (CourseAhead | null)[]
  /** those already computed, by s ahead: searches ask for the same ones again */
  looks: Map<number, Look>
}

/** factor on a standard uncertainty for a 90 % interval of a normal distribution */
const ninety = 1.645

/** A job on a machine, made ready to be looked at. @param outlook with the job's part on it; all its nodes known */
export const onMachine = (
  job: PlannedJob,
  material: Material,
  outlook: Outlook,
  zeroing: Zeroing = null,
  probedAfter = 0,
): OnMachine => ({
  job,
  outlook,
  zeroing,
  probedAfter,
  courses: outlook.nodes.map(node => (outlook.plan ? null : (node.course?.() ?? null))),
  looks: new Map(),
  features: job.features.map(({ axis }, i) => {
    const workClass = jobClass(job, material, i)
    const own = outlook.loop.axes.filter(each => each.axis.id === axis)
    const axes = own.length > 0 ? own : outlook.loop.axes
    return { workClass, axes, slopes: axes.map(each => sensitivities(outlook, each, workClass)) }
  }),
})

/**
 * An outlook after so many s of a job's work: what it heats, it has heated by then, or hardly; how much is as uncertain as
 * how well a sensor stands for its node.
 */
const worked = (outlook: Outlook, after: number, isHeated: boolean): Outlook => ({
  ...outlook,
  nodes: outlook.nodes.map(node => {
    const { jobHeat, timeConstant, temperature, steadyTemperature, placement } = node
    if (!jobHeat) return node
    if (!isHeated) return { ...node, jobHeat: { rise: 0, uncertainty: jobHeat.uncertainty } }
    const left = Math.exp(-after / timeConstant)
    const risen = jobHeat.rise * (1 - left)
    return {
      ...node,
      temperature: temperature + risen,
      steadyTemperature: steadyTemperature + risen,
      placement: Math.hypot(placement, jobHeat.uncertainty * (1 - left)),
      jobHeat: { rise: jobHeat.rise * left, uncertainty: jobHeat.uncertainty * left },
    }
  }),
})

/**
 * The outlook at the start of a job that begins so many s ahead, or when it is probed again, with the zero that is taken
 * then: two where the job's work may have heated the machine by then or hardly.
 */
const begun = ({ outlook, zeroing, probedAfter }: OnMachine, ahead: number): Outlook[] => {
  const later = outlookAhead(outlook, ahead + probedAfter)
  const heats = probedAfter > 0 && later.nodes.some(({ jobHeat }) => jobHeat)
  const all = heats ? [true, false].map(isHeated => worked(later, probedAfter, isHeated)) : [later]
  if (!zeroing) return all
  return all.map(each => zeroedNow(each, zeroing === 'first part'))
}
/** The same outlook with nothing but some of its axes. */
const onAxes = (outlook: Outlook, axes: LoopAxis[]): Outlook => ({ ...outlook, loop: { ...outlook.loop, axes } })

/** Each case of a job that begins so many s ahead: what its work may have heated by then, each feature, each axis. */
function* casesOf(of: OnMachine, ahead: number) {
  const way = { outlook: of.outlook, courses: of.courses, zeroing: of.zeroing !== null }
  for (const later of begun(of, ahead))
    for (const [feature, { workClass, axes, slopes }] of of.features.entries()) {
      const outlook = onAxes(later, axes)
      for (const [i, nominal] of nominalErrors(outlook, workClass).entries())
        yield {
          feature,
          outlook,
          workClass,
          axis: axes[i]!,
          slopes: slopes[i]!,
          nominal,
          granted: workClass.tolerance * workClass.share,
          way: onTheWay(way, later, slopes[i]!, workClass, ahead + of.probedAfter),
        }
    }
}

/** How a job would be that begins so many s ahead. */
export const lookAt = (of: OnMachine, ahead: number): Look => {
  const known = of.looks.get(ahead)
  if (known) return known
  const look: Look = { alone: 0, held: 0, sure: 0, lowest: Number.NEGATIVE_INFINITY, highest: 0 }
  const most = (key: keyof Look, value: number) => {
    if (!(value <= look[key])) look[key] = value
  }
  for (const { outlook, workClass, axis, slopes, nominal, granted, way: ways } of casesOf(of, ahead)) {
    const error = combinedError(nominal) / granted
    const { coverage = 2 } = outlook
    const held = ((coverage / 2) * jobUncertainty(outlook, axis, workClass, nominal, slopes)) / granted
    const way = Math.hypot(...ways) / granted
    const sure = Math.hypot(held, coverage * way)
    most('alone', error)
    most('held', error + held)
    most('sure', error + sure)
    most('lowest', error - (ninety / coverage) * sure)
    most('highest', error + ninety * way)
  }
  of.looks.set(ahead, look)
  return look
}

/** The error of the worst feature on its worst axis, of a job that begins so many s ahead. @param now ms */
export const worstError = (of: OnMachine, ahead: number, now: number): JobError & { nominal: NominalError } => {
  const machine = of.outlook.loop.machine.id
  let worst: (JobError & { nominal: NominalError }) | null = null
  let index = Number.NEGATIVE_INFINITY
  for (const { feature, outlook, workClass, axis, slopes, nominal, granted, way } of casesOf(of, ahead)) {
    const size = combinedError(nominal)
    const budget = [
      ...contributions(outlook, axis, workClass, nominal, slopes),
      { name: 'what may come until then', standardUncertainty: way[0] },
      { name: 'where the nodes will be by then', standardUncertainty: way[1] },
    ]
      .filter(({ standardUncertainty }) => standardUncertainty > 0)
      .sort((a, b) => b.standardUncertainty - a.standardUncertainty)
    const uncertainty = expandedUncertainty(budget)
    const indexed = (size + uncertainty) / granted
    if (worst && !(indexed > index)) continue
    index = indexed
    const larger = Math.abs(nominal.sizeError) >= Math.abs(nominal.drift) ? nominal.sizeError : nominal.drift
    worst = {
      machine,
      start: now + ahead * 1000,
      feature,
      axis: axis.axis.id,
      error: larger < 0 ? -size : size,
      uncertainty,
      granted,
      tolerance: workClass.tolerance,
      budget,
      nominal,
    }
  }
  return worst!
}

/** The outlook at a job's start with the axis of an error alone, for who explains it. */
export const outlookOf = (
  of: OnMachine,
  { feature, axis }: JobError,
  ahead: number,
): { outlook: Outlook; workClass: WorkClass } => {
  const { workClass, axes } = of.features[feature]!
  const own = axes.filter(each => each.axis.id === axis)
  return { outlook: onAxes(begun(of, ahead)[0]!, own), workClass }
}

/** s; between looks, until so far ahead and later. Judgement, no source */
const grid = { near: 600, far: 1800, until: 3 * 3600 }
/** s; how finely a time is told */
const finest = 60

/** Times at which a job is looked at, s from now: the same for all searches, so that they share their looks. */
const gridFrom = (from: number, to: number): number[] => {
  const times = [from]
  const after = (t: number): number => {
    const step = t < grid.until ? grid.near : grid.far
    return (Math.floor(t / step) + 1) * step
  }
  for (let t = after(from); t < to; t = after(t)) times.push(t)
  if (to > from) times.push(to)
  return times
}

/** The time between two looks from which on a test answers otherwise than at the first. */
const turning = (of: OnMachine, within: (look: Look) => boolean, before: number, after: number): number => {
  const as = within(lookAt(of, after))
  let [low, high] = [before, after]
  while (high - low > finest) {
    const middle = (low + high) / 2
    if (within(lookAt(of, middle)) === as) high = middle
    else low = middle
  }
  return high
}

/** The first time at which a test holds, s from now; null when it does not. */
export const firstTime = (of: OnMachine, within: (look: Look) => boolean, from: number, to: number): number | null => {
  let before = from
  for (const time of gridFrom(from, to)) {
    if (within(lookAt(of, time))) return time === from ? from : turning(of, within, before, time)
    before = time
  }
  return null
}

/** The stretches in which a job could be begun if conditions hold, s from now. */
export const fitSpans = (of: OnMachine, from: number, to: number): { from: number; to: number }[] => {
  const within = ({ held }: Look) => held <= 1
  const spans: { from: number; to: number }[] = []
  let open: number | null = null
  let before = from
  for (const time of gridFrom(from, to)) {
    const is = within(lookAt(of, time))
    if (is && open === null) open = time === from ? from : turning(of, within, before, time)
    if (!is && open !== null) {
      spans.push({ from: open, to: turning(of, within, before, time) })
      open = null
    }
    before = time
  }
  if (open !== null && to > open) spans.push({ from: open, to })
  return spans
}
