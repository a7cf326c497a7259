import { assess, errorReasons, ownRemedy, underPlan } from '../judge/index.js'
import type { Reason, Remedy } from '../state.js'
import type { JobError } from './answer.js'
import {
  type Candidate,
  errorAt,
  type JobMachine,
  type JobSituation,
  lastOf,
  probed,
  secondsTo,
  surely,
} from './candidate.js'
import { firstTime, onMachine, outlookOf, worstError, type Zeroing } from './looks.js'

/**
 * s; how quickly the air comes back once what stands open is shut: the slower case of `judge/remedies.ts`. Judgement
 */
const airReturns = 3000
/** how many shares in an error are told: more are not read. Judgement, no source */
export const mostReasons = 4

/** m, rounded to the nanometre: more is noise */
const nanometres = (value: number) => Math.round(value * 1e9) / 1e9

/** The error of a job as that which a remedy leaves; m, the moment in ms. */
export const leavesOf = ({ start, error, uncertainty, granted }: JobError) => ({
  at: start,
  error: nanometres(Math.abs(error)),
  uncertainty: nanometres(uncertainty),
  granted,
})

/** Zeroing as a remedy. @param error with the zero taken @param first none was recorded before */
export const zeroRemedy = (error: JobError, zeroing: Zeroing, first: boolean): Remedy => ({
  kind: 'zero',
  firstPart: zeroing === 'first part',
  first,
  leaves: { ...leavesOf(error), fitBy: error.start },
})

/** A change that lets a job be begun: when (ms), on the machine as it would be then. */
interface Offer {
  change: Remedy
  start: number
  after: Candidate
}

/** @param from ms @returns null where the job is not sure to be within what is granted by the end of the shift */
const offering = (situation: JobSituation, after: Candidate, from: number, change: OfferKind): Offer | null => {
  const { now } = situation
  const found = firstTime(after.on, surely(situation), secondsTo(from, now), lastOf(situation))
  if (found === null) return null
  const start = now + found * 1000
  return { change: { ...change, leaves: { ...leavesOf(errorAt(after, start, now)), fitBy: start } }, start, after }
}
type OfferKind = { kind: 'probe' } | { kind: 'shut'; source: string; name: string }

/** What probing again before the finishing cut would make of a job. @param from ms */
export const probeOffer = (situation: JobSituation, own: Candidate, from: number): Offer | null =>
  offering(situation, probed(own, situation), from, { kind: 'probe' })

/**
 * The first change of those that are quickly made that lets a job be begun: to shut what stands open, the air coming back
 * slowly; to probe again before the finishing cut. @param from ms
 */
export const offerOf = (situation: JobSituation, own: Candidate, from: number): Offer | null => {
  const { job, material } = situation
  const { open } = own.machine
  if (open) {
    const plan = [{ at: 0, temperature: open.before, timeConstant: airReturns }]
    const shut = { ...own, on: onMachine(job, material, underPlan(own.on.outlook, plan)) }
    const { source, name } = open
    const offer = offering(situation, shut, from, { kind: 'shut', source, name })
    if (offer) return offer
  }
  return probeOffer(situation, own, from)
}

/** The one change that would help most, for the worst feature: computed by the remedies of verdicts. @param start ms */
export const remedyOf = ({ now }: JobSituation, { on, machine }: Candidate, start: number): Remedy | null => {
  const worst = worstError(on, secondsTo(start, now), now)
  const { workClass } = outlookOf(on, worst, 0)
  const axes = on.outlook.loop.axes.filter(({ axis }) => axis.id === worst.axis)
  const outlook = { ...on.outlook, loop: { ...on.outlook.loop, axes } }
  const { open, airChange } = machine
  return ownRemedy({ outlook, workClass, limit: 100 * workClass.share, now, proof: 0, fitBy: null, airChange, open })
}

/** Shares in the error of the worst feature, of a job begun then, largest first. @param start ms */
export const whyNot = ({ now }: JobSituation, { on, machine }: Candidate, start: number): Reason[] => {
  const ahead = secondsTo(start, now)
  const worst = worstError(on, ahead, now)
  const { outlook, workClass } = outlookOf(on, worst, ahead)
  const found = assess(outlook, workClass)
  const reasons = errorReasons(outlook, outlook.loop.axes[0]!, workClass, found.nominal[0]!, found.axes[0]!)
  return [...reasons.slice(0, mostReasons), ...machine.notes]
}

/**
 * Reasons, the first of which names what stands open as its cause: said where shutting that would make the machine fit.
 */
export const disturbed = ([first, ...rest]: Reason[], { disturbance }: JobMachine): Reason[] => {
  if (!first) return rest
  return [disturbance?.to === null && 'amount' in first ? { ...first, disturbance } : first, ...rest]
}
