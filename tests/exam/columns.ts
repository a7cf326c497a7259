import type { Machine, Shop, WorkClass } from '../../core/shop.js'
import type { ClassState, MachineState, Verdict } from '../../core/state.js'
import type { MachineMark, MachineTruth, SimulatedShop } from '../../simulators/index.js'
import { NaiveRules, type Rule, type RuleWord, ruleNames } from './naive-rules.js'
import { OtherRules, strictnessNames } from './strictness.js'
import { driftStages, growthAlong, type SizeTruth, trueAxisErrors } from './truth.js'

/**
 * Three truths of a job that is begun at a moment. All share its size error at the start; they differ in the drift
 * within it: if conditions held, as the machine then really went (whatever it did), and as it would have gone had such a
 * job begun on it: with the heat its work usually brings, in the air that came.
 */
export const columnNames = { held: 'conditions held', came: 'what came', job: 'as a job begun' } as const
export type Column = keyof typeof columnNames
export const columns = Object.keys(columnNames) as Column[]

/** What was said of jobs beside what was true of them. */
export interface Count {
  samples: number
  fit: number
  /** fit was said while the true error was over the share */
  falselyFit: number
  /** not fit was said (unknown apart) while it was within */
  falselyUnfit: number
  /** of falselyUnfit: even with the true error the stated uncertainty would have reached beyond the share */
  guarded: number
  /** within working hours: samples, and falselyUnfit of them */
  working: number
  workingFalselyUnfit: number
}
const emptyCount = (): Count => ({
  samples: 0,
  fit: 0,
  falselyFit: 0,
  falselyUnfit: 0,
  guarded: 0,
  working: 0,
  workingFalselyUnfit: 0,
})

const addUp = (counts: readonly Count[]): Count => {
  const all = emptyCount()
  for (const count of counts) for (const key of Object.keys(all) as (keyof Count)[]) all[key] += count[key]
  return all
}

const take = (count: Count, word: RuleWord, over: boolean, guarded: boolean, working: boolean): void => {
  const falselyUnfit = word === 'not fit' && !over
  count.samples++
  if (word === 'fit') count.fit++
  if (word === 'fit' && over) count.falselyFit++
  if (falselyUnfit) count.falselyUnfit++
  if (falselyUnfit && guarded) count.guarded++
  if (working) count.working++
  if (working && falselyUnfit) count.workingFalselyUnfit++
}

export interface ColumnsRecord {
  service: Record<Column, Count>
  rules: Record<Rule, Record<Column, Count>>
  /** jobs that really began in the shop while a class was fit, and how many of them went over the share */
  begun: number
  wentOver: number
  /** the same by rules less and more strict, in the order of `strictnessNames`, whose first is the service */
  strictness: {
    counts: Record<Column, Count>
    begun: number
    wentOver: number
    /** how often a machine became fit for a class, or ceased to be */
    changes: number
  }[]
}

const byColumn = (): Record<Column, Count> => ({ held: emptyCount(), came: emptyCount(), job: emptyCount() })
const wordOf = (verdict: Verdict): RuleWord =>
  verdict === 'settling' || verdict === 'unfit' ? 'not fit' : (verdict as RuleWord)

/** A moment at which a job could have begun, or did. */
interface Beginning {
  at: number
  machine: Machine
  truth: MachineTruth
  zero: SizeTruth
  mark: MachineMark
  working: boolean
  classes: { workClass: WorkClass; state: ClassState; verdicts: readonly Verdict[]; heldErrors: number[] }[]
  rules: Record<Rule, RuleWord>
  /** a job of the shop's own that began then: how hard it works */
  job: { spindle: number; motion: number } | null
}

/** Compares what is said at each moment with what then comes; it comes as the shop lives on. */
export class Columns {
  readonly record: ColumnsRecord = {
    service: byColumn(),
    rules: Object.fromEntries(ruleNames.map(name => [name, byColumn()])) as ColumnsRecord['rules'],
    begun: 0,
    wentOver: 0,
    strictness: strictnessNames.map(() => ({ counts: byColumn(), begun: 0, wentOver: 0, changes: 0 })),
  }
  private readonly others: OtherRules
  private readonly horizons: number[]
  private readonly longest: number
  private readonly naive: NaiveRules
  /** true growth at the work by machine, a moment after the other */
  private readonly grown = new Map<string, { at: number; truth: MachineTruth }[]>()
  private readonly running = new Map<string, unknown>()
  private open: Beginning[] = []

  constructor(
    private readonly shop: Shop,
    private readonly simulated: SimulatedShop,
  ) {
    this.horizons = [...new Set(shop.workClasses.flatMap(c => driftStages.map(stage => stage * c.duration)))].sort(
      (a, b) => a - b,
    )
    this.longest = Math.max(...shop.workClasses.map(({ duration }) => duration))
    this.naive = new NaiveRules(shop)
    this.others = new OtherRules(shop.workClasses)
  }

  /** Follows verdicts by rules less and more strict; once a minute. @param counts whether changes count by now */
  follow(states: readonly MachineState[], counts: boolean): void {
    for (const state of states) this.others.take(state, counts)
    this.record.strictness.forEach((of, i) => {
      of.changes = this.others.changes[i]!
    })
  }

  /**
   * @param now ms
   * @param heldErrors true errors of each class by axis if conditions hold, m, in the order of the shop's classes
   */
  take(state: MachineState, now: number, truth: MachineTruth, zero: SizeTruth, heldErrors: number[][]): void {
    const machine = this.shop.machines.find(({ id }) => id === state.machine)!
    this.naive.note(state)
    const grown = this.grown.get(machine.id) ?? []
    this.grown.set(machine.id, grown)
    grown.push({ at: now, truth })
    const { working } = this.simulated.climate()
    const classes = this.shop.workClasses.map((workClass, i) => ({
      workClass,
      state: state.classes.find(c => c.workClass === workClass.id)!,
      verdicts: this.others.says(machine.id, workClass.id),
      heldErrors: heldErrors[i]!,
    }))
    const rules = this.naive.says(machine.id)
    const mark = this.simulated.mark(machine.id)
    this.open.push({ at: now, machine, truth, zero, mark, working, classes, rules, job: null })
    this.settle(now)
    while (grown.length && grown[0]!.at < now - 1000 * this.longest - 3_600_000) grown.shift()
  }

  /** Looks whether the shop has begun a job of its own since it was last asked; at least once a minute. */
  watchJobs(states: readonly MachineState[], now: number, zeroOf: (machine: string) => SizeTruth | undefined): void {
    for (const state of states) {
      const job = this.simulated.job(state.machine)
      const before = this.running.get(state.machine)
      this.running.set(state.machine, job)
      if (!job || job === before || before === undefined) continue
      const machine = this.shop.machines.find(({ id }) => id === state.machine)!
      const truth = this.simulated.truth().machines[machine.id]!
      const classes = state.classes.map(of => ({
        workClass: this.shop.workClasses.find(({ id }) => id === of.workClass)!,
        state: of,
        verdicts: this.others.says(machine.id, of.workClass),
        heldErrors: [],
      }))
      const rules = this.naive.says(machine.id)
      const [zero, mark] = [zeroOf(machine.id) ?? truth, this.simulated.mark(machine.id)]
      this.open.push({ at: now, machine, truth, zero, mark, working: true, classes, rules, job })
    }
  }

  /** Counts what was said of jobs that are over by now. */
  private settle(now: number): void {
    const isOver = ({ at }: Beginning) => now - at >= this.longest * 1000
    const over = this.open.filter(isOver)
    if (over.length === 0) return
    this.open = this.open.filter(moment => !isOver(moment))
    for (const moment of over) this.count(moment)
  }

  private count({ at, machine, truth, zero, mark, working, classes, rules, job }: Beginning): void {
    const course = this.simulated.jobCourse(mark, job ?? this.simulated.usualJob(machine.id), this.horizons)
    const asJob = (axis: string, horizon: number) =>
      course.find(({ ahead }) => ahead === horizon)!.axes[axis]!.atWork - truth.axes[axis]!.atWork
    const grown = this.grown.get(machine.id)!.map(moment => ({ ahead: (moment.at - at) / 1000, ...moment.truth }))
    const along = new Map(machine.axes.map(({ id }) => [id, growthAlong(grown, id)]))
    const asCame = (axis: string, horizon: number) => along.get(axis)!(horizon) - truth.axes[axis]!.atWork
    for (const { workClass, state, verdicts, heldErrors } of classes) {
      const granted = workClass.share * workClass.tolerance
      const errorsIf = (drift: typeof asJob) => trueAxisErrors(machine.axes, workClass, truth, drift, zero)
      if (job) {
        const wentOver = Math.max(...errorsIf(asJob)) > granted
        const begun = (of: { begun: number; wentOver: number }, verdict: Verdict) => {
          if (verdict !== 'fit') return
          of.begun++
          if (wentOver) of.wentOver++
        }
        begun(this.record, state.verdict)
        for (const [i, verdict] of verdicts.entries()) begun(this.record.strictness[i]!, verdict)
        continue
      }
      const errors: Record<Column, number[]> = { held: heldErrors, came: errorsIf(asCame), job: errorsIf(asJob) }
      for (const column of columns) {
        const over = Math.max(...errors[column]) > granted
        const guarded = errors[column].some((error, i) => error + (state.axes[i]?.uncertainty ?? 0) > granted)
        take(this.record.service[column], wordOf(state.verdict), over, guarded, working)
        for (const [i, verdict] of verdicts.entries())
          take(this.record.strictness[i]!.counts[column], wordOf(verdict), over, guarded, working)
        for (const rule of ruleNames) take(this.record.rules[rule][column], rules[rule], over, false, working)
      }
    }
  }
}

/** Several shops' records as one. */
export const allColumns = (records: readonly ColumnsRecord[]): ColumnsRecord => {
  const together = (of: (record: ColumnsRecord) => Record<Column, Count>) =>
    Object.fromEntries(columns.map(column => [column, addUp(records.map(r => of(r)[column]))])) as Record<Column, Count>
  return {
    service: together(r => r.service),
    rules: Object.fromEntries(ruleNames.map(rule => [rule, together(r => r.rules[rule])])) as ColumnsRecord['rules'],
    begun: records.reduce((sum, r) => sum + r.begun, 0),
    wentOver: records.reduce((sum, r) => sum + r.wentOver, 0),
    strictness: strictnessNames.map((_, i) => {
      const total = (of: 'begun' | 'wentOver' | 'changes') => records.reduce((sum, r) => sum + r.strictness[i]![of], 0)
      return {
        counts: together(r => r.strictness[i]!.counts),
        begun: total('begun'),
        wentOver: total('wentOver'),
        changes: total('changes'),
      }
    }),
  }
}
