import { DateTime } from 'luxon'
import { type AnswerKind, answerJob, type JobAnswer, jobClass, type PlannedJob } from '../../core/morning/index.js'
import type { Shop, WorkClass } from '../../core/shop.js'
import { createDecoder } from '../../server/ingest/decoder.js'
import type { Reading } from '../../server/ingest/reading.js'
import { createMonitor, type Monitor } from '../../server/monitor/index.js'
import type { PlannedFault, SimulatedShop } from '../../simulators/index.js'
import { begunRatio, type Look, lookAt } from './begun.js'
import { type Heated, HeatingExam, type HeatingRecord } from './heating.js'
import { ExamIdentification } from './identification.js'
import { firstWithin } from './truth.js'

const minute = 60_000
const day = 86_400_000
/** hour by the shop's clock at which the supervisor asks; min after it at which jobs are planned, and when none begins any more */
const asked = 7
const plannedAfter = [0, 30, 90, 180]
const lastAfter = 9 * 60
/** min; how finely the truth is looked at, and how long it must stay within the share */
const looked = 5
const stay = 10 * 60
/** days that the service has run before the first morning */
const runUp = 2

/** An answer of one morning beside what was true of the job: its true error over what is granted, begun at each look. */
export interface MorningAnswer {
  answer: AnswerKind
  /** true error of the job ÷ what is granted, begun as answered (go: as planned; move: there); null where no start is named */
  ratio: number | null
  /** min after the planned start; null: not within the shift */
  likely: number | null
  earliest: number | null
  latest: number | null
  /** min after the planned start from which a job begun on the planned machine was truly within its share for ten minutes */
  true: number | null
}

export interface MorningsRecord {
  mornings: number
  answers: MorningAnswer[]
  heating: HeatingRecord[]
}

interface Morning {
  at: number
  jobs: { job: PlannedJob; workClass: WorkClass; answer: JobAnswer }[]
  looks: Map<string, Look[]>
}

/** Each machine's jobs of the morning: every class at one of the planned starts, on it or on any other. */
const jobsAt = (shop: Shop, now: number): { job: PlannedJob; workClass: WorkClass }[] =>
  shop.machines.flatMap(({ id }, m) =>
    shop.workClasses
      .filter(({ zeroedAt }) => zeroedAt === 'job start')
      .map((workClass, c) => ({
        workClass,
        job: {
          id: 100 * m + c,
          part: workClass.name,
          features: [{ name: '', length: workClass.featureLength, tolerance: workClass.tolerance }],
          material: workClass.material.name,
          machines: [id, ...shop.machines.map(other => other.id).filter(other => other !== id)],
          start: now + plannedAfter[(m + c) % plannedAfter.length]! * minute,
          duration: workClass.duration,
          share: workClass.share,
          zeroedAt: 'job start' as const,
          from: { kind: 'shop' as const },
          enteredAt: now,
          by: '',
        },
      })),
  )

const answersAt = (shop: Shop, monitor: Monitor, now: number): Morning['jobs'] =>
  jobsAt(shop, now).map(({ job, workClass }) => {
    const machines = job.machines.map(id => {
      const { outlook, unknowns, open, airChange, disturbance } = monitor.circumstances(
        id,
        jobClass(job, workClass.material),
      )
      return { id, outlook, unknowns, open, airChange, disturbance, notes: [], busy: [] }
    })
    const shiftEnd = now + lastAfter * minute
    const situation = {
      job,
      material: workClass.material,
      machines,
      now,
      shiftEnd,
      outdoors: null,
      partTimeConstant: null,
    }
    return { job, workClass, answer: answerJob(situation) }
  })

/**
 * Lets a shop live and asks each working morning at seven what the morning check asks, with `answerJob` itself. The truth of
 * a job is the worst error of such a job begun then, with the heat that the machine's work usually brings, in the air that
 * came: run in the simulator beside the shop.
 */
export const examineMornings = async (
  shop: Shop,
  simulated: SimulatedShop,
  {
    from,
    days,
    faults,
    twin,
    onProgress,
  }: {
    from: number
    days: number
    faults: readonly PlannedFault[]
    /** the same shop from its start on, its heating led otherwise */
    twin: (heated: Heated) => SimulatedShop
    onProgress?: (part: number) => void
  },
): Promise<MorningsRecord> => {
  const decode = createDecoder(shop.sensors)
  const monitor = createMonitor({ shop })
  const identification = new ExamIdentification(shop, monitor)
  const weekdays = simulated.plant.workingHours.weekdays
  monitor.onChange(({ trust }) => identification.takeTrust(trust))
  const encoder = new TextEncoder()
  const record: MorningsRecord = { mornings: 0, answers: [], heating: [] }
  const heating = new HeatingExam(shop, monitor, weekdays, twin)
  const longest = Math.max(...shop.workClasses.map(({ duration }) => duration))
  let morning: Morning | null = null
  const broken = new Set<PlannedFault>()

  const ratioOf = (look: Look, workClass: WorkClass): number => begunRatio(shop, simulated, look, workClass)

  const close = ({ jobs, looks }: Morning): void => {
    record.mornings++
    for (const { job, workClass, answer } of jobs) {
      const begun = looks.get(answer.machine)!
      const at = answer.start === null ? undefined : begun.find(look => look.at >= answer.start!)
      const own = looks.get(job.machines[0]!)!.filter(look => look.at >= job.start)
      const minutes = (time: number) => (time - job.start) / minute
      const isWait = answer.answer === 'wait'
      const first = isWait
        ? firstWithin(
            own.map(look => (look.at - job.start) / 1000),
            own.map(look => ratioOf(look, workClass)),
            1,
            stay,
          )
        : null
      record.answers.push({
        answer: answer.answer,
        ratio: at ? ratioOf(at, workClass) : null,
        likely: isWait ? minutes(answer.ready!.likely) : null,
        earliest: isWait ? minutes(answer.ready!.earliest) : null,
        latest: isWait ? minutes(answer.ready!.latest) : null,
        true: first === null ? null : first / 60,
      })
    }
  }

  const steps = Math.round((days * day) / (looked * minute))
  for (let n = 1; n <= steps; n++) {
    const now = from + n * looked * minute
    for (const fault of faults) {
      const isNow = now - from >= fault.from * 1000 && now - from < fault.to * 1000
      if (isNow === broken.has(fault)) continue
      simulated.fault(fault.sensor, isNow ? fault.kind : null)
      if (isNow) broken.add(fault)
      else broken.delete(fault)
    }
    const readings: Reading[] = []
    simulated.advance(now, ({ topic, payload, time }) => {
      readings.push(...decode(topic, encoder.encode(payload), { retained: false, receivedAt: time }).readings)
    })
    identification.take(readings)
    monitor.take(readings)
    monitor.advance(now)
    record.heating.push(...(await heating.look(now, now - from)))
    if ((now - from) % day === 0) await identification.look(now)
    if (morning && now > morning.at + (lastAfter * 60 + longest) * 1000) {
      close(morning)
      morning = null
    }
    const local = DateTime.fromMillis(now, { zone: shop.timeZone })
    const isAsked = local.hour === asked && local.minute < looked && weekdays.includes(local.weekday)
    if (isAsked && now - from >= runUp * day)
      morning = {
        at: now,
        jobs: answersAt(shop, monitor, now),
        looks: new Map(shop.machines.map(({ id }) => [id, []])),
      }
    if (morning && now <= morning.at + lastAfter * minute)
      for (const [id, looks] of morning.looks) looks.push(lookAt(simulated, id))
    onProgress?.(n / steps)
  }
  return record
}
