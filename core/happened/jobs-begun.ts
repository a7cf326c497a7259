import type { ThermalLoop } from '../growth/index.js'
import {
  combinedError,
  contributions,
  expandedUncertainty,
  type NodeOutlook,
  nominalErrors,
  type Outlook,
  type PartOutlook,
  type Zero,
} from '../judge/index.js'
import type { WorkClass } from '../shop.js'
import type { VerdictChange } from '../state.js'
import type { JobOutcome, JobsBegun } from './answer.js'

/** A machine's temperatures as they came, on even intervals. */
export interface TemperaturesThen {
  /** ms; middle of each interval */
  at: readonly number[]
  /** ms */
  width: number
  rows: {
    /** with the factors that were in force */
    loop: ThermalLoop
    /** in the order of the machine's nodes; null where nothing was believed */
    nodes: readonly (Pick<NodeOutlook, 'temperature' | 'calibration' | 'placement' | 'batch'> | null)[]
    /** null where its surroundings were not known */
    part: Pick<PartOutlook, 'temperature' | 'uncertainty' | 'slope'> | null
    /** what the machine's zero counted from; null before the first */
    datum: Zero | null
  }[]
}

interface Judged {
  outcome: JobOutcome
  axis: string
  error: number
  uncertainty: number
}

/** What has come needs no forecast: nodes stand still but for the temperatures that are given ahead. */
const standing = (node: TemperaturesThen['rows'][number]['nodes'][number]): NodeOutlook => {
  const temperature = node?.temperature ?? Number.NaN
  return {
    temperature,
    steadyTemperature: temperature,
    timeConstant: Number.POSITIVE_INFINITY,
    timeConstantUncertainty: 0,
    steadyUncertainty: 0,
    calibration: node?.calibration ?? 0,
    placement: node?.placement ?? 0,
    ...(node?.batch && { batch: node.batch }),
    follows: -1,
    ordinaryChange: 0,
  }
}

const nothing: Omit<Judged, 'outcome'> = { axis: '', error: Number.NaN, uncertainty: Number.NaN }

/** How a job begun in one interval came out: the worst over the axes. */
const judge = ({ at, width, rows }: TemperaturesThen, index: number, workClass: WorkClass): Judged => {
  const steps = Math.round((workClass.duration * 1000) / width)
  if (index + steps >= at.length) return { outcome: 'not over', ...nothing }
  const { loop, nodes, part, datum } = rows[index]!
  const zero = workClass.zeroedAt === 'datum' ? datum : null
  if (!part || (workClass.zeroedAt === 'datum' && !zero)) return { outcome: 'not known', ...nothing }
  const courseOf = (ahead: number) => rows[index + Math.round((ahead * 1000) / width)]!
  const states = Array.from({ length: steps + 1 }, (_, k) => rows[index + k]!)
  const needed = new Set(loop.axes.flatMap(axis => axis.nodes))
  if (states.some(state => [...needed].some(i => !state.nodes[i]))) return { outcome: 'not known', ...nothing }
  const outlook: Outlook = {
    loop,
    nodes: nodes.map(standing),
    part: {
      ...part,
      steadyTemperature: part.temperature,
      timeConstant: Number.POSITIVE_INFINITY,
      uncertaintySoaked: part.uncertainty,
    },
    datum: zero,
    trajectory: ahead => {
      const then = courseOf(ahead)
      return {
        nodes: Float64Array.from(then.nodes, node => node?.temperature ?? Number.NaN),
        part: then.part?.temperature ?? part.temperature,
      }
    },
  }
  const granted = workClass.share * workClass.tolerance
  let worst: Judged = { outcome: 'not known', ...nothing }
  nominalErrors(outlook, workClass).forEach((nominal, i) => {
    const axis = loop.axes[i]!
    const uncertainty = expandedUncertainty(contributions(outlook, axis, workClass, nominal))
    const size = combinedError(nominal)
    if (!Number.isFinite(size + uncertainty) || size + uncertainty <= Math.abs(worst.error) + worst.uncertainty) return
    const outcome = size - uncertainty > granted ? 'beyond' : size + uncertainty > granted ? 'perhaps' : 'within'
    const error = (nominal.sizeError < 0 || (nominal.sizeError === 0 && nominal.drift < 0) ? -1 : 1) * size
    worst = { outcome, axis: axis.axis.id, error, uncertainty }
  })
  return worst
}

/** s of a stretch during which the wall said fit. @param changes of the class, in order of time */
const fitWithin = (changes: readonly Pick<VerdictChange, 'at' | 'verdict'>[], from: number, to: number): number =>
  changes.reduce((sum, { at, verdict }, i) => {
    const overlap = Math.min(changes[i + 1]?.at ?? to, to) - Math.max(at, from)
    return verdict === 'fit' && overlap > 0 ? sum + overlap / 1000 : sum
  }, 0)

/**
 * What would have become of jobs of a work class, by the moment at which they begin: size error at the start and the
 * largest drift until the job's end, as temperatures came, judged against what the class grants to heat. A job comes out
 * beyond it, or within it, only where the uncertainty leaves no other.
 *
 * @param span ms; of the moments at which jobs begin; the course may go on after it
 * @param changes verdicts that were shown of the class, in order of time
 */
export const jobsBegunIn = (
  course: TemperaturesThen,
  workClass: WorkClass,
  span: { from: number; to: number },
  changes: readonly Pick<VerdictChange, 'at' | 'verdict'>[],
): JobsBegun => {
  const stretches: JobsBegun['stretches'] = []
  let worst: JobsBegun['worst'] = null
  course.at.forEach((at, index) => {
    const from = Math.max(span.from, at - course.width / 2)
    const to = Math.min(span.to, at + course.width / 2)
    if (to <= from) return
    const { outcome, axis, error, uncertainty } = judge(course, index, workClass)
    const last = stretches.at(-1)
    if (last?.outcome === outcome) last.to = to
    else stretches.push({ from, to, outcome })
    if (axis && (!worst || Math.abs(error) > Math.abs(worst.error))) worst = { at, axis, error, uncertainty }
  })
  return {
    workClass: workClass.id,
    granted: workClass.share * workClass.tolerance,
    stretches,
    worst,
    shownFit: stretches
      .filter(({ outcome }) => outcome === 'beyond')
      .reduce((sum, { from, to }) => sum + fitWithin(changes, from, to), 0),
  }
}
