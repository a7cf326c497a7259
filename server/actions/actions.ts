import type { AlignmentCheck } from '../../core/alignment/index.js'
import { offsetInForce } from '../../core/calibration/index.js'
import type { WorkChange } from '../../core/happened/index.js'
import type { Decision, JobPlan, PlannedJob } from '../../core/morning/index.js'
import type { Signature } from '../../core/quantities.js'
import type { Machine, Sensor, Shop } from '../../core/shop.js'
import type {
  KnownSpindle,
  RunEvent,
  SpindleRun,
  SpindleTest,
  ToolList,
  ToolListEntry,
} from '../../core/spindle/index.js'
import type { Datum, DriftLog, FactorChange, Measurement, OffsetChange } from '../../core/state.js'
import { partAt, temperaturesAt } from '../history/index.js'
import type { Monitor } from '../monitor/index.js'
import { datumWithOffsets } from '../offsets.js'
import type { Fact, FactEntry, FactKind } from '../store/fact-kinds.js'
import type { Store } from '../store/store.js'
import { oneAtATime } from './one-at-a-time.js'
import type { StandingJob } from './planned-jobs.js'
import { runEventsOf, spindleRunOf } from './spindle-runs.js'
import type { StandingList } from './tool-lists.js'

/** When a machine was zeroed, and how. */
interface Zeroing {
  /** ms; now where not given */
  at?: number
  /** a first part was measured and the size corrected; otherwise zero was taken at one place */
  firstPart: boolean
}

/** What was asked cannot be done as things stand; the message says why. */
export class NotNow extends Error {
  override name = 'NotNow'
}

/** What people do: each is recorded as a fact, then applied to the service that runs, and one after another. */
export interface Actions {
  /** A datum that is older than the one in force goes on record only. @throws NotNow when a needed node is, or was, unknown */
  setDatum(machine: Machine, zeroing: Zeroing, who: Signature): Promise<Datum>
  addDriftLog(log: Omit<FactEntry<'drift log'>, 'enteredAt'>): Promise<DriftLog>
  /** all or none */
  addMeasurements(measurements: readonly FactEntry<'measurement'>[]): Promise<Measurement[]>
  /** @throws ClosedAlready */
  setAside(measurement: Measurement, who: Signature): Promise<Measurement>
  addAlignmentCheck(check: Omit<FactEntry<'alignment check'>, 'enteredAt'>): Promise<AlignmentCheck>
  /** @throws ClosedAlready */
  takeBackAlignmentCheck(check: AlignmentCheck, who: Signature): Promise<void>
  addWorkChange(change: Omit<FactEntry<'work change'>, 'enteredAt'>): Promise<WorkChange>
  /** @throws ClosedAlready */
  takeBackWorkChange(change: WorkChange, who: Signature): Promise<void>
  addSpindleTest(test: Omit<FactEntry<'spindle test'>, 'enteredAt'>): Promise<SpindleTest>
  beginSpindleRun(run: Omit<FactEntry<'spindle run'>, 'at'>): Promise<SpindleRun>
  /** what is known already is not recorded again. @returns all of the run */
  addRunEvents(run: SpindleRun, events: readonly RunEvent[]): Promise<RunEvent[]>
  /** @throws ClosedAlready */
  giveUpSpindleRun(run: SpindleRun, who: Signature): Promise<void>
  /** @throws ClosedAlready */
  takeBackSpindleTest(test: SpindleTest, who: Signature): Promise<void>
  addToolList(machine: string, list: ToolListEntry, who: Signature): Promise<ToolList>
  /**
   * @param became as it is from now on; null: it is withdrawn
   * @throws ClosedAlready when somebody else has changed it meanwhile
   */
  changeToolList(standing: StandingList, became: ToolListEntry | null, who: Signature): Promise<ToolList>
  /** the factors hold from now on, in growth and in verdicts; none: the nominal model does */
  changeFactors(change: Omit<FactEntry<'factors'>, 'at'>): Promise<FactorChange>
  /** all or none */
  changeOffsets(changes: readonly Omit<FactEntry<'offset'>, 'at' | 'takesBack'>[]): Promise<OffsetChange[]>
  /** @throws ClosedAlready */
  takeBackOffset(change: OffsetChange, who: Signature): Promise<OffsetChange>
  /** what somebody decided for a machine in the morning: kept, and nothing else follows from it */
  decide(decision: Omit<Decision, 'at'>): Promise<Decision & { id: number }>
  /** all or none. @param jobs each with the day of its start, ISO 8601, in the shop's time zone */
  planJobs(jobs: readonly (JobPlan & { day: string })[], by: string): Promise<PlannedJob[]>
  /**
   * @param became as it is planned from now on, on the same day; null: it is withdrawn
   * @throws ClosedAlready when somebody else has changed it meanwhile
   */
  changeJob(day: string, standing: StandingJob, became: JobPlan | null, who: Signature): Promise<PlannedJob>
}

interface ActionParts {
  shop: () => Shop
  store: Pick<Store, 'facts' | 'series'>
  monitor: Pick<Monitor, 'datumNow' | 'setDatum' | 'setFactors' | 'setOffset' | 'setSpindle'>
  /** what a machine's newest growth test says; null: none says anything */
  knownSpindle: (machine: string) => Promise<KnownSpindle | null>
  /** with the offsets of the shop file */
  fileSensors: () => readonly Sensor[]
  /** ms */
  clock: () => number
}

export const createActions = ({ shop, store, monitor, knownSpindle, fileSensors, clock }: ActionParts): Actions => {
  const { facts } = store
  const inTurn = oneAtATime()

  const recordOne = async <Kind extends FactKind>(kind: Kind, entry: FactEntry<Kind>): Promise<Fact<Kind>> =>
    (await facts.record(kind, [entry]))[0]!

  const recordOffsets = async (changes: readonly FactEntry<'offset'>[]): Promise<OffsetChange[]> => {
    const added = await facts.record('offset', changes)
    for (const { sensor, newOffset } of added)
      if (fileSensors().some(({ id }) => id === sensor)) monitor.setOffset(sensor, newOffset)
    return added
  }

  const stateNow = (machine: string) => {
    try {
      return monitor.datumNow(machine)
    } catch (error) {
      throw new NotNow((error as Error).message, { cause: error })
    }
  }

  const stateThen = async (machine: Machine, at: number): Promise<ReturnType<typeof stateNow>> => {
    const past = { shop: shop(), store }
    const temperatures = await temperaturesAt(past, machine, at)
    const missing = machine.nodes.find(({ id }) => temperatures[id] === undefined)
    if (missing) throw new NotNow(`nothing was known of ${missing.name} then`)
    const part = await partAt(past, machine, at)
    return { machine: machine.id, at, temperatures, ...(part !== null && { part }) }
  }

  return {
    setDatum: (machine, { at, firstPart }, who) =>
      inTurn(async () => {
        const state = at === undefined ? stateNow(machine.id) : await stateThen(machine, at)
        const datum = await recordOne('datum', { ...state, firstPart, ...who })
        monitor.setDatum(datumWithOffsets(datum, machine, shop(), await facts.of('offset')))
        return datum
      }),
    decide: decision => recordOne('decision', { ...decision, at: clock() }),
    addDriftLog: log => recordOne('drift log', { ...log, enteredAt: clock() }),
    async addMeasurements(measurements) {
      const added = await facts.record('measurement', measurements)
      return added.map(measurement => ({ ...measurement, setAside: null }))
    },
    async setAside(measurement, who) {
      const how = { at: clock(), ...who }
      await facts.record('measurement set aside', [
        { machine: measurement.machine, measurement: measurement.id, ...how },
      ])
      return { ...measurement, setAside: how }
    },
    addAlignmentCheck: check => recordOne('alignment check', { ...check, enteredAt: clock() }),
    async takeBackAlignmentCheck({ id, machine }, { by, note }) {
      await facts.record('alignment check taken back', [{ machine, check: id, at: clock(), by, note }])
    },
    addWorkChange: change => recordOne('work change', { ...change, enteredAt: clock() }),
    async takeBackWorkChange({ id, machine }, { by, note }) {
      await facts.record('work change taken back', [{ machine, change: id, at: clock(), by, note }])
    },
    addSpindleTest: test =>
      inTurn(async () => {
        const added = await recordOne('spindle test', { ...test, enteredAt: clock() })
        monitor.setSpindle(test.machine, await knownSpindle(test.machine))
        return added
      }),
    beginSpindleRun: run =>
      inTurn(async () => {
        const { run: going } = await spindleRunOf({ facts }, run.machine)
        if (going) throw new NotNow(`A growth test by ${going.by} is going on at this spindle`)
        return recordOne('spindle run', { ...run, at: clock() })
      }),
    addRunEvents: ({ id, machine, at }, events) =>
      inTurn(async () => {
        const known = await runEventsOf({ facts }, { id, machine, at })
        const keys = new Set(known.map(({ key }) => key))
        const anew = events.filter(({ key }) => !keys.has(key) && keys.add(key))
        if (anew.length > 0) await facts.record('spindle run events', [{ machine, run: id, at: clock(), events: anew }])
        return [...known, ...anew]
      }),
    async giveUpSpindleRun({ id, machine }, { by, note }) {
      await facts.record('spindle run given up', [{ machine, run: id, at: clock(), by, note }])
    },
    takeBackSpindleTest: ({ id, machine }, { by, note }) =>
      inTurn(async () => {
        await facts.record('spindle test taken back', [{ machine, test: id, at: clock(), by, note }])
        monitor.setSpindle(machine, await knownSpindle(machine))
      }),
    addToolList: (machine, list, who) => recordOne('tool list', { ...list, machine, enteredAt: clock(), ...who }),
    async changeToolList({ list, version }, became, who) {
      const at = clock()
      await facts.record('tool list change', [{ machine: list.machine, list: list.id, version, at, ...who, became }])
      return became ? { ...list, ...became, changedAt: at, ...who } : list
    },
    async planJobs(jobs, by) {
      const enteredAt = clock()
      const added = await facts.record(
        'planned job',
        jobs.map(job => ({ ...job, enteredAt, by })),
      )
      return added.map(({ day: _, ...job }) => job)
    },
    async changeJob(day, { job, version }, became, who) {
      await facts.record('job change', [{ day, job: job.id, version, at: clock(), ...who, became }])
      const { id, enteredAt, by } = job
      return became ? { ...became, id, enteredAt, by } : job
    },
    changeFactors: change =>
      inTurn(async () => {
        const added = await recordOne('factors', { ...change, at: clock() })
        monitor.setFactors(change.machine, change.factors ?? {})
        return added
      }),
    changeOffsets: changes =>
      inTurn(() => recordOffsets(changes.map(change => ({ ...change, at: clock(), takesBack: null })))),
    takeBackOffset: ({ id, sensor, oldOffset, newOffset }, { by, note }) =>
      inTurn(async () => {
        const own = (await facts.of('offset', { subject: sensor })).filter(change => change.id !== id)
        const before = offsetInForce(own)?.newOffset ?? fileSensors().find(s => s.id === sensor)?.offset ?? oldOffset
        const back = {
          sensor,
          at: clock(),
          by,
          note,
          oldOffset: newOffset,
          newOffset: before,
          found: null,
          takesBack: id,
        }
        const [added] = await recordOffsets([back])
        return added!
      }),
  }
}
