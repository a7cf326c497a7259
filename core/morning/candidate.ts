import type { Outlook, Situation } from '../judge/index.js'
import type { Material } from '../shop.js'
import type { DisturbedBy, Reason } from '../state.js'
import type { AnswerKind, JobError } from './answer.js'
import { partOf } from './job-part.js'
import { fitSpans, type Look, lookAt, type OnMachine, onMachine, worstError, type Zeroing } from './looks.js'
import type { PlannedJob } from './planned-job.js'

/** A machine that a job may be done on, as it stands now. */
export interface JobMachine {
  id: string
  /**
   * for work of `jobClass(job, material)`: the ordinary changes of the air are those within the job, and the datum is the
   * machine's where the job is zeroed at it. null where a node is unknown
   */
  outlook: Outlook | null
  /** why nothing can be said; none when all is known */
  unknowns: readonly Reason[]
  /** what stands open and acts on the machine, with the air's temperature before, °C */
  open: Situation['open']
  /** K, standard; how far the air at the machine ordinarily goes within so many s */
  airChange: Situation['airChange']
  /** the door or vent that stands open or did lately, as it explains an error */
  disturbance: DisturbedBy | null
  /** what is to be known beside an answer: stand-ins, calibrations overdue */
  notes: readonly Reason[]
  /** ms; when other jobs are planned on it */
  busy: readonly { from: number; to: number }[]
}

/** All that an answer depends on. Times in ms since 1970 (UTC), temperatures in °C. */
export interface JobSituation {
  job: PlannedJob
  material: Material
  /** one for each of the job's machines, in its order: the planned one first */
  machines: readonly JobMachine[]
  now: number
  /** later no job is begun */
  shiftEnd: number
  /** outdoors when the part was brought in, or now if that is still to come; null where it is not known */
  outdoors: number | null
  /** s, of the part (`partTimeConstant`); null: as that of the machine's usual part */
  partTimeConstant: number | null
  /** what was answered before: what was no go must have become it by a deadband */
  before?: AnswerKind
}

/** A machine on which something can be said of the job. */
export interface Candidate {
  machine: JobMachine
  on: OnMachine
  /** ms since 1970; the part is not in the shop before */
  notBefore: number
}

/** null where nothing can be said of the machine */
export const candidate = (situation: JobSituation, machine: JobMachine): Candidate | null => {
  const { job, material, now, outdoors, partTimeConstant } = situation
  if (!machine.outlook || machine.unknowns.some(({ kind }) => kind === 'missing')) return null
  const { part, notBefore } = partOf(job, machine.outlook.part, now, outdoors, partTimeConstant)
  // a datum that lacks a node is as good as none
  const lacking = machine.unknowns.some(({ kind }) => kind === 'zero')
  const outlook = { ...machine.outlook, part, ...(lacking && { datum: null }) }
  return { machine, notBefore, on: onMachine(job, material, outlook) }
}

/** The same machine if it were zeroed for the job when that begins. */
export const zeroed = ({ on, ...rest }: Candidate, { material }: JobSituation, zeroing: Zeroing): Candidate => ({
  ...rest,
  on: onMachine(on.job, material, on.outlook, zeroing),
})

/** 0..1; what of a job comes after it is probed again: the finishing cuts. Judgement, no source */
const finishing = 0.25

/**
 * The same machine if the job were probed again before its finishing cuts: what drifted until then is taken out, and what
 * counts is the size cut then, and what drifts until the end. The air ordinarily changes as the square root of the time.
 */
export const probed = ({ on, ...rest }: Candidate, { job, material }: JobSituation): Candidate => {
  const outlook = {
    ...on.outlook,
    nodes: on.outlook.nodes.map(node => ({ ...node, ordinaryChange: node.ordinaryChange * Math.sqrt(finishing) })),
  }
  const last = { ...job, duration: job.duration * finishing }
  return { ...rest, on: onMachine(last, material, outlook, 'one place', job.duration * (1 - finishing)) }
}

/** @param time ms @param now ms @returns s from now */
export const secondsTo = (time: number, now: number): number => (time - now) / 1000

/** 0..1; how much less a job may take for a go that was no go before, so that answers do not flicker. Judgement */
const deadband = 0.12

/** 0..1; how much of what is granted a job may take for a go */
const limitOf = ({ before }: JobSituation): number => (before === undefined || before === 'go' ? 1 : 1 - deadband)

/**
 * Whether error and uncertainty of a job begun at `start` (ms) are within what is granted, whatever ordinarily happens
 * until then.
 */
export const isSure = (situation: JobSituation, { on }: Candidate, start: number): boolean =>
  surely(situation)(lookAt(on, secondsTo(start, situation.now)))

/** The error of a job begun at a moment. @param start ms @param now ms */
export const errorAt = ({ on }: Candidate, start: number, now: number): JobError => {
  const { nominal: _, ...error } = worstError(on, secondsTo(start, now), now)
  return error
}

/** The stretches until the end of the shift, ms, in which the job could be begun if conditions hold. */
export const spans = ({ now, shiftEnd }: JobSituation, { on, notBefore }: Candidate) => {
  const from = secondsTo(Math.max(now, notBefore), now)
  const time = (ahead: number) => now + ahead * 1000
  return fitSpans(on, from, Math.max(secondsTo(shiftEnd, now), from)).map(span => ({
    from: time(span.from),
    to: time(span.to),
  }))
}

/** Whether error and uncertainty are within what is granted whatever ordinarily happens until then. */
export const surely =
  (situation: JobSituation) =>
  ({ sure }: Look): boolean =>
    sure <= limitOf(situation)

/** s from now; the end of the shift, or the job's start where that is later; now when both are over */
export const lastOf = ({ shiftEnd, now, job }: JobSituation): number =>
  Math.max(secondsTo(Math.max(shiftEnd, job.start), now), 0)
