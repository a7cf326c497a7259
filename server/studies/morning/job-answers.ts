import { findMaterial } from '../../../core/materials.js'
import {
  type AnsweredJob,
  answerJob,
  type JobAnswer,
  type JobMachine,
  type JobSituation,
  jobClass,
  type KeptAnswer,
  type PlannedJob,
  partTimeConstant,
} from '../../../core/morning/index.js'
import type { Material, Shop } from '../../../core/shop.js'
import { oneAtATime, plannedJobsOf } from '../../actions/index.js'
import { grouped } from '../../grouped.js'
import type { Monitor } from '../../monitor/index.js'
import { overdueReasons } from '../../monitor/overdue.js'
import type { Store } from '../../store/store.js'
import { nextTurn, Turn } from '../../turns.js'
import { dayOf } from './day.js'
import { outdoorsAt } from './outdoors-at.js'
import { ownMaterials } from './own-materials.js'
import { shiftOfDay } from './shifts.js'

/** ms; an answer that is older is given anew before it is shown */
const oldest = 180_000
/** ms; a time that moves by more is another answer, and kept */
const keptFrom = 15 * 60_000
/** ms; further ahead no start is looked for */
const longestShift = 16 * 3_600_000
/** answers kept before other work is let in */
const atOnce = 25

/** The answers of the day's jobs, as they stand. */
export interface JobAnswers {
  /** all of today's, in the order of their start; only those are answered that have no answer of the last minutes */
  today(): Promise<AnsweredJob[]>
  /** gives all answers anew, and keeps those that are others than before */
  answer(): Promise<void>
}

export interface AnswerParts {
  shop: Shop
  store: Pick<Store, 'facts' | 'series'>
  monitor: Pick<Monitor, 'circumstances' | 'shop'>
  /** ms; the monitor's time */
  clock: () => number
}

interface Standing {
  version: number
  answer: JobAnswer
  /** what was kept last; null: nothing yet */
  kept: Pick<KeptAnswer, 'answer' | 'machine' | 'start'> | null
  partTimeConstant: number | null
  outdoors: number | null
}

const bare = <E extends { budget: unknown }>(error: E | null): Omit<E, 'budget'> | null => {
  if (!error) return null
  const { budget: _, ...rest } = error
  return rest
}

const isOther = (kept: Standing['kept'], { answer, machine, start }: JobAnswer): boolean =>
  !kept ||
  kept.answer !== answer ||
  kept.machine !== machine ||
  (kept.start === null) !== (start === null) ||
  Math.abs((kept.start ?? 0) - (start ?? 0)) > keptFrom

/** What was kept, as an answer again: its windows and budgets are not. */
const recalled = ({ day: _, asPlanned, asAdvised, ...kept }: KeptAnswer): JobAnswer => ({
  ...kept,
  asPlanned: asPlanned && { ...asPlanned, budget: [] },
  asAdvised: asAdvised && { ...asAdvised, budget: [] },
  windows: [],
})

/**
 * Answers the day's jobs, in slices so that nothing else waits: from what the monitor knows at that moment. What was
 * answered is kept as a fact when the answer is another one, or its time has moved by more than a quarter of an hour.
 */
export const createJobAnswers = ({ shop, store, monitor, clock }: AnswerParts): JobAnswers => {
  const standing = new Map<number, Standing>()
  let day = ''
  const inTurn = oneAtATime()

  /** what was kept of the day before this service started */
  const recall = async (today: string) => {
    if (day === today) return
    standing.clear()
    day = today
    for (const { id: _, ...kept } of await store.facts.of('job answer', { subject: today }))
      standing.set(kept.job, { version: -1, answer: recalled(kept), kept, partTimeConstant: null, outdoors: null })
  }

  const answerAll = async (olderThan: number): Promise<AnsweredJob[]> => {
    const today = dayOf(clock(), shop.timeZone)
    await recall(today)
    const jobs = await plannedJobsOf(store, today)
    const known = new Set(jobs.map(({ job }) => job.id))
    for (const id of standing.keys()) if (!known.has(id)) standing.delete(id)
    const now = clock()
    const circumstances = seenOnce(monitor)
    const planned = grouped(
      jobs.map(({ job }) => job),
      ({ machines }) => machines[0]!,
    )
    const changed: KeptAnswer[] = []
    const turn = new Turn()
    for (const { job, version } of jobs) {
      const before = standing.get(job.id)
      if (before && isSettled(job, version, before, now)) continue
      if (before?.version === version && now - before.answer.at < olderThan && now >= before.answer.at) continue
      const material = findMaterial(job.material, ownMaterials(shop))
      // a material that the shop file no longer has: nothing new can be said
      if ('problem' in material) continue
      const same = before?.version === version ? before : null
      const situation: JobSituation = {
        job,
        material: material.value,
        machines: machinesOf(shop, job, material.value, circumstances, planned),
        now,
        shiftEnd: Math.min(shiftOfDay(shop, now)?.to ?? now, now + longestShift),
        outdoors: same ? same.outdoors : await outdoorsAt({ shop, store }, monitor, job, now),
        partTimeConstant: same ? same.partTimeConstant : partTimeConstant(job),
        ...(same && { before: same.answer.answer }),
      }
      // a job whose machines are all gone from the shop file
      if (situation.machines.length === 0) continue
      const answer = answerJob(situation)
      const { outdoors, partTimeConstant: timeConstant } = situation
      const isNew = isOther(before?.kept ?? null, answer)
      standing.set(job.id, {
        version,
        answer,
        kept: isNew ? answer : before!.kept,
        partTimeConstant: timeConstant,
        outdoors: job.from.kind === 'outdoors' && job.from.broughtIn > now ? null : outdoors,
      })
      if (isNew) changed.push(keptOf(answer, today))
      if (turn.isOver) await turn.next()
    }
    for (let i = 0; i < changed.length; i += atOnce) {
      await nextTurn()
      await store.facts.record('job answer', changed.slice(i, i + atOnce))
    }
    return jobs.flatMap(({ job }) => {
      const found = standing.get(job.id)
      return found ? [{ job, answer: found.answer }] : []
    })
  }

  return {
    today: () => inTurn(() => answerAll(oldest)),
    answer: () => inTurn(async () => void (await answerAll(0))),
  }
}

const keptOf = ({ windows: _, asPlanned, asAdvised, ...answer }: JobAnswer, day: string): KeptAnswer => ({
  ...answer,
  day,
  asPlanned: bare(asPlanned),
  asAdvised: bare(asAdvised),
})

/** What was begun as it was told, or would be over, is not answered anew: what was told stands. */
const isSettled = (job: PlannedJob, version: number, { answer, version: answered }: Standing, now: number): boolean => {
  if (answered !== version && answered !== -1) return false
  const begun = answer.start ?? job.start
  if (now >= job.start + job.duration * 1000 && now >= begun + job.duration * 1000) return true
  return answer.answer === 'go' && answer.at <= begun && now > begun
}

type Circumstances = ReturnType<Monitor['circumstances']>
type Seen = (machine: string, job: PlannedJob, material: Material) => Circumstances

/** What jobs are judged by on a machine depends on how long they last, what they are zeroed at and how fast its spindle turns. */
const seenOnce = (monitor: Pick<Monitor, 'circumstances'>): Seen => {
  const seen = new Map<string, Circumstances>()
  return (machine, job, material) => {
    const key = [machine, job.duration, job.zeroedAt, job.speed].join()
    const found = seen.get(key) ?? monitor.circumstances(machine, jobClass(job, material))
    seen.set(key, found)
    return found
  }
}

/** @param planned jobs by the machine that they are planned on */
const machinesOf = (
  shop: Shop,
  job: PlannedJob,
  material: Material,
  seen: Seen,
  planned: ReadonlyMap<string, readonly PlannedJob[]>,
): JobMachine[] =>
  job.machines
    .filter(id => shop.machines.some(machine => machine.id === id))
    .map((id): JobMachine => {
      const { standIns, overdue, ...circumstances } = seen(id, job, material)
      return {
        ...circumstances,
        id,
        notes: [...standIns, ...overdueReasons(overdue)],
        busy: (planned.get(id) ?? [])
          .filter(other => other.id !== job.id)
          .map(({ id: of, start, duration }) => ({ job: of, from: start, to: start + duration * 1000 })),
      }
    })
