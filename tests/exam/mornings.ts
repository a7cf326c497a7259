import { DateTime } from 'luxon'
import {
  type AnswerKind,
  answerJob,
  type JobAnswer,
  jobClass,
  type PlannedJob,
  partTimeConstant,
} from '../../core/morning/index.js'
import type { Shop, WorkClass } from '../../core/shop.js'
import { createMonitor, type Monitor } from '../../server/monitor/index.js'
import { layPart, type PlannedFault, type SimulatedShop } from '../../simulators/index.js'
import { toldBy } from '../told.js'
import { begunRatio, type Look, lookAt, probedRatio } from './begun.js'
import { type Heated, HeatingExam, type HeatingRecord } from './heating.js'
import { ExamIdentification } from './identification.js'
import { firstWithin, type SizeTruth } from './truth.js'

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
/** min before it is asked that parts are brought in from outdoors */
const broughtIn = 30
/** hour of the working day at which every machine's datum is set with a first part */
const zeroedAt = 14
/** kg, of the parts from outdoors, in turn; and 0..1 of their surfaces: machined bright to cast */
const masses = [4, 12, 30, 60]
const emissivities = [0.15, 0.6, 0.3]
/**
 * What random shops make parts of: as the table of materials calls it, J/kg/K and kg/m³ as the simulator has it (handbook
 * values from memory).
 */
const metals: Record<string, { table: string; heatCapacity: number; density: number }> = {
  'part steel': { table: 'steel', heatCapacity: 480, density: 7800 },
  'part aluminium': { table: 'aluminium 6061', heatCapacity: 910, density: 2700 },
  'part stainless': { table: 'stainless 304', heatCapacity: 500, density: 7950 },
  'part titanium': { table: 'titanium Ti-6Al-4V', heatCapacity: 530, density: 4450 },
  'part iron': { table: 'grey iron', heatCapacity: 510, density: 7200 },
}

/** An answer of one morning beside what was true of the job: its true error over what is granted, begun at each look. */
export interface MorningAnswer {
  /** what is asked for: work zeroed at its start, with a part that has long been in the shop or one from outdoors; or at the datum */
  of: Asked
  answer: AnswerKind
  /**
   * true error of the job ÷ what is granted, begun as answered (go: as planned; move: there; once zeroed: zeroed so); null
   * where no start is named
   */
  ratio: number | null
  /** the same with the job probed again before its finishing cuts, begun when that is said to make it a go; null: it is not */
  probed: number | null
  /** min after the planned start; null: not within the shift */
  likely: number | null
  earliest: number | null
  latest: number | null
  /** min after the planned start from which a job begun on the planned machine was truly within its share for ten minutes */
  true: number | null
}

export type Asked = 'job start' | 'from outdoors' | 'datum'

export interface MorningsRecord {
  mornings: number
  answers: MorningAnswer[]
  heating: HeatingRecord[]
}

/** A look at a machine, with the part from outdoors that lies beside it. */
type MorningLook = Look & { broughtIn: number | null }

interface Morning {
  at: number
  jobs: { of: Asked; job: PlannedJob; workClass: WorkClass; answer: JobAnswer }[]
  looks: Map<string, MorningLook[]>
}

/** What is asked in the morning, the answer left out. */
type Question = Omit<Morning['jobs'][number], 'answer'>

/**
 * Each machine's jobs of the morning: every class that is zeroed at a job's start at one of the planned starts, on it or on
 * any other; then for one of these classes a part from outdoors, and a job that counts from the datum, on it alone.
 */
const jobsAt = (shop: Shop, now: number): Question[] =>
  shop.machines.flatMap(({ id }, m) => {
    const classes = shop.workClasses.filter(each => each.zeroedAt === 'job start')
    const others = shop.machines.map(other => other.id).filter(other => other !== id)
    const asked = (of: Asked, workClass: WorkClass, c: number, more: Partial<PlannedJob>): Question => ({
      of,
      workClass,
      job: {
        id: 100 * m + c,
        part: workClass.name,
        features: [{ name: '', length: workClass.featureLength, tolerance: workClass.tolerance }],
        material: workClass.material.name,
        machines: [id],
        start: now + plannedAfter[(m + c) % plannedAfter.length]! * minute,
        duration: workClass.duration,
        share: workClass.share,
        zeroedAt: 'job start',
        from: { kind: 'shop' },
        enteredAt: now,
        by: '',
        ...more,
      },
    })
    if (classes.length === 0) return []
    const [cold, zeroed] = [classes[m % classes.length]!, classes[(m + 1) % classes.length]!]
    return [
      ...classes.map((workClass, c) => asked('job start', workClass, c, { machines: [id, ...others] })),
      asked('from outdoors', cold, 50, {
        from: { kind: 'outdoors', broughtIn: now - broughtIn * minute },
        size: { mass: masses[m % masses.length]! },
      }),
      asked('datum', zeroed, 51, { zeroedAt: 'datum' }),
    ]
  })

/** @param outdoors °C as it was told when parts were brought in; null: not told */
const answersAt = (shop: Shop, monitor: Monitor, now: number, outdoors: number | null): Morning['jobs'] =>
  jobsAt(shop, now).map(({ of, job, workClass }) => {
    const machines = job.machines.map(id => {
      const seen = monitor.circumstances(id, jobClass(job, workClass.material))
      return { id, ...seen, notes: [], busy: [] }
    })
    const answer = answerJob({
      job,
      material: workClass.material,
      machines,
      now,
      shiftEnd: now + lastAfter * minute,
      outdoors,
      partTimeConstant: partTimeConstant({ ...job, material: metals[job.material]!.table }),
    })
    return { of, job, workClass, answer }
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
  const told = toldBy(simulated, shop)
  const monitor = createMonitor({ shop })
  const identification = new ExamIdentification(shop, monitor)
  const weekdays = simulated.plant.workingHours.weekdays
  monitor.onChange(({ trust }) => identification.takeTrust(trust))
  const record: MorningsRecord = { mornings: 0, answers: [], heating: [] }
  const heating = new HeatingExam(shop, monitor, weekdays, twin)
  const longest = Math.max(...shop.workClasses.map(({ duration }) => duration))
  let morning: Morning | null = null
  const broken = new Set<PlannedFault>()

  /** what was true when each machine's datum was set */
  const zeros = new Map<string, SizeTruth>()
  /** parts that were brought in this morning, one beside each machine */
  const parts = new Map<string, ReturnType<typeof layPart>>()
  let outdoorsThen: number | null = null

  /** @param zeroed for work that counts from the datum: how it is zeroed at its start; null: it is not */
  const ratioOf = (look: MorningLook, { of, workClass }: Question, zeroed: { firstPart: boolean } | null): number => {
    const id = look.mark.machine
    if (of === 'job start') return begunRatio(shop, simulated, look, workClass)
    if (of === 'from outdoors') {
      const truth = { ...look.truth, partTemperature: look.broughtIn! }
      return begunRatio(shop, simulated, { ...look, truth }, workClass)
    }
    if (zeroed && !zeroed.firstPart) return begunRatio(shop, simulated, look, workClass)
    return begunRatio(shop, simulated, look, { ...workClass, zeroedAt: 'datum' }, zeroed ? look.truth : zeros.get(id))
  }

  /** @param before min before that hour @returns whether it is then, on a working day */
  const isWorkday = (now: number, hour: number, before: number): boolean => {
    const then = DateTime.fromMillis(now + before * minute, { zone: shop.timeZone })
    return then.hour === hour && then.minute < looked && weekdays.includes(then.weekday)
  }

  const close = ({ jobs, looks }: Morning): void => {
    record.mornings++
    for (const question of jobs) {
      const { of, job, answer } = question
      const { change } = answer
      const begun = looks.get(answer.machine)!
      const at = answer.start === null ? undefined : begun.find(look => look.at >= answer.start!)
      const own = looks.get(job.machines[0]!)!.filter(look => look.at >= job.start)
      // with the usual part, and zeroed then: of the others it is not asked
      const probes =
        of === 'job start' && change?.kind === 'probe' ? own.find(look => look.at >= change.leaves.fitBy!) : undefined
      const minutes = (time: number) => (time - job.start) / minute
      const isWait = answer.answer === 'wait'
      const first = isWait
        ? firstWithin(
            own.map(look => (look.at - job.start) / 1000),
            own.map(look => ratioOf(look, question, null)),
            1,
            stay,
          )
        : null
      record.answers.push({
        of,
        answer: answer.answer,
        ratio: at ? ratioOf(at, question, change?.kind === 'zero' ? change : null) : null,
        probed: probes ? probedRatio(shop, simulated, probes, question.workClass) : null,
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
    const readings = told(now)
    identification.take(readings)
    monitor.take(readings)
    monitor.advance(now)
    record.heating.push(...(await heating.look(now, now - from)))
    if ((now - from) % day === 0) await identification.look(now)
    if (morning && now > morning.at + (lastAfter * 60 + longest) * 1000) {
      close(morning)
      morning = null
    }
    for (const { id } of shop.machines) {
      const { air } = simulated.truth().machines[id]!
      parts.get(id)?.lie(air, looked * 60)
    }
    if (isWorkday(now, asked, broughtIn)) {
      outdoorsThen = monitor.shop().outdoors
      jobsAt(shop, now).forEach(({ of, job, workClass }, i) => {
        if (of !== 'from outdoors') return
        const { heatCapacity, density } = metals[workClass.material.name]!
        const emissivity = emissivities[i % emissivities.length]!
        const part = { mass: (job.size as { mass: number }).mass, heatCapacity, density, emissivity }
        parts.set(job.machines[0]!, layPart(part, simulated.climate().outdoors))
      })
    }
    if (isWorkday(now, zeroedAt, 0))
      for (const { id } of shop.machines) {
        if (monitor.machine(id)!.nodes.some(({ temperature }) => temperature === null)) continue
        monitor.setDatum({ ...monitor.datumNow(id), id: 0, by: 'examination', note: '', firstPart: true })
        zeros.set(id, simulated.truth().machines[id]!)
      }
    if (isWorkday(now, asked, 0) && now - from >= runUp * day)
      morning = {
        at: now,
        jobs: answersAt(shop, monitor, now, outdoorsThen),
        looks: new Map(shop.machines.map(({ id }) => [id, []])),
      }
    if (morning && now <= morning.at + lastAfter * minute)
      for (const [id, looks] of morning.looks)
        looks.push({ ...lookAt(simulated, id), broughtIn: parts.get(id)?.temperature() ?? null })
    onProgress?.(n / steps)
  }
  return record
}
