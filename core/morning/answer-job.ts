import type { MissingNode, ReadyTime, Reason, Remedy } from '../state.js'
import type { AnswerKind, JobAnswer, JobError } from './answer.js'
import {
  type Candidate,
  candidate,
  errorAt,
  isSure,
  type JobMachine,
  type JobSituation,
  secondsTo,
  spans,
  zeroed,
} from './candidate.js'
import { disturbed, leavesOf, mostReasons, offerOf, probeOffer, remedyOf, whyNot, zeroRemedy } from './changes.js'
import { lookAt } from './looks.js'
import { readyOn, type Wait, waitedFor } from './ready.js'

/** s; a job that is taken to another machine is set up there anew, and a shorter wait is no reason. Judgement, no source */
const setUp = 3600

/**
 * What to answer for a planned job: begin as planned, zero first, wait, take it to another machine, or not today; or that
 * it cannot be told. Pure: no clock, no store; the same for the service and for whoever examines it.
 *
 * How to use it without the service: for each of the job's machines take the outlook that a monitor has now
 * (`monitor.circumstances(machine, jobClass(job, material))` gives `outlook`, `unknowns`, `open` and `disturbance`), or
 * make one (`core/judge`, `Outlook`), and hand all over as a `JobSituation`. Nothing is remembered between calls.
 *
 * - `go` only where the error and its expanded uncertainty (k = 2) are within the share, for every feature on each axis,
 *   through the whole job, with what may ordinarily happen until its start counted in. Like all of it, if conditions
 *   hold: a door that is opened meanwhile makes another answer of it, so ask again when the job is to begin.
 * - `wait`: `ready.likely` is when the error alone is within the share, `earliest` and `latest` the ends of a 90 %
 *   interval. `start` is the first time at which it would be a go, counted in the same way; null where the way there is too
 *   uncertain for any: then ask again at `latest`.
 * - `move`: to the allowed machine on which the job has most room at the planned start.
 *
 * @throws RangeError when there is no machine
 */
export const answerJob = (situation: JobSituation): JobAnswer => {
  const { job, machines, now } = situation
  const [planned] = machines
  if (!planned) throw new RangeError(`job ${job.id} has no machine`)
  const candidates = machines.flatMap(machine => candidate(situation, machine) ?? [])
  const own = candidates.find(({ machine }) => machine === planned) ?? null
  const start = Math.max(job.start, now, own?.notBefore ?? 0)
  const unzeroed = own !== null && job.zeroedAt === 'datum' && own.on.outlook.datum === null
  const asPlanned = own && !unzeroed ? errorAt(own, start, now) : null
  const answered: Answered = own
    ? onPlanned(situation, { own, candidates, start, unzeroed })
    : (moved(situation, candidates, start, null) ?? cannotTell(planned))
  const { change = null, ready = null, waitsFor = null, asAdvised = null, reasons, after = null } = answered
  return {
    job: job.id,
    at: now,
    answer: answered.answer,
    machine: answered.machine ?? planned.id,
    start: answered.start,
    ready,
    waitsFor,
    asPlanned,
    asAdvised,
    change,
    windows: candidates
      .filter(({ on }) => job.zeroedAt === 'job start' || on.outlook.datum !== null || on === own?.on)
      .map(each => ({
        machine: each.machine.id,
        fit: each === own && unzeroed ? [] : spans(situation, each),
        afterChange: each === own && after ? spans(situation, after) : [],
      })),
    reasons,
  }
}

interface Answered {
  answer: AnswerKind
  machine?: string
  start: number | null
  ready?: ReadyTime | null
  waitsFor?: JobAnswer['waitsFor']
  asAdvised?: JobError | null
  change?: Remedy | null
  reasons: Reason[]
  /** with the change made */
  after?: Candidate | null
}

interface OnPlanned {
  own: Candidate
  candidates: readonly Candidate[]
  start: number
  /** no zero is recorded that the job could count from */
  unzeroed: boolean
}

const onPlanned = (situation: JobSituation, { own, candidates, start, unzeroed }: OnPlanned): Answered => {
  const { job, now } = situation
  const { notes, open } = own.machine
  if (!unzeroed && isSure(situation, own, start))
    return { answer: 'go', start, asAdvised: errorAt(own, start, now), reasons: [...notes] }
  const reasons = unzeroed ? own.machine.unknowns.slice() : whyNot(situation, own, start)
  if (job.zeroedAt === 'datum')
    for (const zeroing of ['one place', 'first part'] as const) {
      const after = zeroed(own, situation, zeroing)
      if (!isSure(situation, after, start)) continue
      const asAdvised = errorAt(after, start, now)
      return {
        answer: 'go once zeroed',
        start,
        asAdvised,
        change: zeroRemedy(asAdvised, zeroing, unzeroed),
        reasons,
        after,
      }
    }
  const waiting = unzeroed ? zeroed(own, situation, 'first part') : own
  const wait = readyOn(situation, waiting, start)
  const elsewhere = moved(
    situation,
    candidates.filter(each => each !== own),
    start,
    wait?.ready ?? null,
  )
  if (elsewhere && (!wait || secondsTo(wait.ready.likely, start) >= setUp)) return { ...elsewhere, reasons }
  const waitsFor = wait && waitedFor(situation, waiting, start, wait.ready)
  const isOffered = !unzeroed && !(wait && (!open || waitsFor === 'part'))
  const offer = isOffered ? offerOf(situation, own, start) : null
  if (wait && offer?.change.kind !== 'shut') return waits(situation, waiting, wait, waitsFor, reasons, unzeroed)
  return {
    answer: 'not today',
    start: null,
    asAdvised: offer && errorAt(offer.after, offer.start, now),
    change: offer?.change ?? remedyOf(situation, own, start),
    reasons: offer?.change.kind === 'shut' ? disturbed(reasons, own.machine) : reasons,
    after: offer?.after ?? null,
  }
}

const waits = (
  situation: JobSituation,
  own: Candidate,
  { ready, start }: Wait,
  waitsFor: JobAnswer['waitsFor'],
  reasons: Reason[],
  unzeroed: boolean,
): Answered => {
  const { job, now } = situation
  const asAdvised = start === null ? null : errorAt(own, start, now)
  const answered = { answer: 'wait', start, ready, waitsFor, asAdvised, reasons } as const
  const leaves = { ...leavesOf(asAdvised ?? errorAt(own, ready.latest, now)), fitBy: start }
  if (unzeroed) return { ...answered, change: { kind: 'zero', firstPart: true, first: true, leaves }, after: own }
  if (waitsFor === 'part') return { ...answered, change: start === null ? null : { kind: 'soak', leaves } }
  const offer = probeOffer(situation, own, Math.max(job.start, now, own.notBefore))
  return offer && offer.start < (start ?? ready.latest) ? { ...answered, ...offer, start } : answered
}

/** The allowed machine with most room at the planned start, that is free then and with nothing open that acts on it. */
const moved = (
  situation: JobSituation,
  others: readonly Candidate[],
  start: number,
  ready: ReadyTime | null,
): Answered | null => {
  const { job, now, machines } = situation
  const isFree = ({ busy }: JobMachine) =>
    busy.every(({ from, to }) => to <= start || from >= start + job.duration * 1000)
  const fit = others
    .filter(
      ({ machine, on }) =>
        !machine.open && isFree(machine) && (job.zeroedAt === 'job start' || on.outlook.datum !== null),
    )
    .filter(each => each.notBefore <= start && isSure({ ...situation, before: 'go' }, each, start))
  const room = ({ on }: Candidate) => lookAt(on, secondsTo(start, now)).sure
  const [best] = fit.sort((a, b) => room(a) - room(b))
  if (!best) return null
  const { machine } = best
  return {
    answer: 'move',
    machine: machine.id,
    start,
    ready,
    asAdvised: errorAt(best, start, now),
    change: { kind: 'move', machine: machine.id, name: best.on.outlook.loop.machine.name },
    reasons: machines[0]!.unknowns.slice(0, mostReasons),
  }
}

const cannotTell = ({ unknowns }: JobMachine): Answered => {
  const missing = unknowns.filter((reason): reason is MissingNode => reason.kind === 'missing')
  const [first] = missing
  return {
    answer: 'cannot tell',
    start: null,
    change: first ? { kind: 'sensor', missing: first, others: missing.length - 1 } : null,
    reasons: unknowns.slice(0, mostReasons),
  }
}
