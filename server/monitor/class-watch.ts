import {
  type Assessment,
  assess,
  asUsuallyKnown,
  defaultVerdictSettings,
  disturbedBy,
  errorReasons,
  nextVerdict,
  type Outlook,
  ownRemedy,
  type ReadyAhead,
  readyTime,
  type ShownVerdict,
  Variability,
} from '../../core/judge/index.js'
import type { WorkClass } from '../../core/shop.js'
import type { ClassState, MissingNode, ReadyTime, Reason, Remedy, VerdictChange } from '../../core/state.js'
import { type Circumstances, noticeable } from './circumstances.js'
import { NamedTimes, type Past } from './named-times.js'
import { overdueReasons, withOverdueNamed } from './overdue.js'

/** ms; a ready time is computed anew this often while nothing else changes */
const readyEvery = 180_000
/** ms; so long after a door has shut, the machine's temperatures are taken for those that it left behind. Judgement */
const settlesAfter = 300_000

/**
 * A ready time as moments (ms), none of them before now. Its latest includes the wait in which a machine must show that
 * it has become fit.
 *
 * @param at   ms; when it was found
 * @param wait ms; that wait
 */
const readyBetween = (at: number, { earliest, likely, latest }: ReadyAhead, now: number, wait: number): ReadyTime => {
  const time = (ahead: number) => Math.max(at + ahead * 1000, now)
  return { earliest: time(earliest), likely: time(likely), latest: time(latest) + wait }
}

/** ms; how long what is not fit must show that it has become so */
const proof = defaultVerdictSettings.fitDelay * 1000

/** 0..1; what of the share must be left over at a time that is promised, so that it comes true. Judgement, no source */
const margin = 0.12
/**
 * percent; what error and uncertainty of a class must not exceed at a time that is promised
 *
 * @param room share; what must be left over by what is seen of the index
 */
export const limitOf = ({ share }: WorkClass, room = 0): number => 100 * share * (1 - Math.max(margin, room))

/** Whether some body is still on its way to where the air is taking it. */
const isOnTheMove = ({ nodes, part }: Outlook): boolean => {
  const away = nodes.map(node => (node.follows >= 0 ? Math.abs(node.steadyTemperature - node.temperature) : 0))
  return Math.max(...away, Math.abs(part.steadyTemperature - part.temperature)) > noticeable
}

const isStale = (found: { at: number } | null, now: number): boolean =>
  !found || now - found.at >= readyEvery || now < found.at

/** Follows one kind of work on one machine: its verdict, when it will be fit, and what to do until then. */
export class ClassWatch {
  /** the verdict that is shown; null before the first */
  shown: ShownVerdict | null = null
  /** newest search for a ready time */
  private ready: { at: number; value: ReadyAhead | null; settles: boolean; lowest: number } | null = null
  /** the times found for "fit by", and what became of them */
  readonly times: NamedTimes
  private readonly variability = new Variability()
  /** newest search for what to do, and for what situation it was made */
  private found: { at: number; of: string; value: Remedy | null } | null = null

  /** @param named what became of all times in the shop */
  constructor(
    readonly workClass: WorkClass,
    named: { past: Past },
  ) {
    this.times = new NamedTimes(named)
  }

  /** The verdict of another watch goes on here; the wait by which fit is earned begins anew, for its measure is another. */
  follow({ shown, times }: ClassWatch): void {
    this.times.past = times.past
    this.shown = shown && { ...shown, lowSince: null, pending: null }
  }

  /**
   * The verdict that stood before a restart.
   *
   * @param goesOn data were stored until shortly before: what was fit has earned it, also when a few are late now
   */
  restore({ verdict, at }: VerdictChange, goesOn: boolean): void {
    const lowSince = goesOn && verdict === 'fit' ? at : null
    this.shown = { verdict, since: at, lowSince, pending: null }
  }

  /** What was found by looking ahead holds no longer. */
  lookAheadAnew(): void {
    this.ready = null
    this.found = null
  }

  /** percent; what error and uncertainty must not exceed at a time that is promised */
  get limit(): number {
    return limitOf(this.workClass, this.variability.roomAhead)
  }

  /** What is said of the class now; the verdict shown moves on. @param now ms */
  evaluate(circumstances: Circumstances, now: number): ClassState {
    const state = this.evaluated(circumstances, now)
    this.times.look(state.verdict, now)
    return state
  }

  /** The same, but for what becomes of the times that were named. */
  private evaluated(circumstances: Circumstances, now: number): ClassState {
    const { outlook, unknowns, disturbance, overdue } = circumstances
    const { workClass } = this
    const share = 100 * workClass.share
    if (!outlook || unknowns.length > 0) {
      this.shown = nextVerdict(
        this.shown,
        { known: false, index: 0, kept: 0, room: 0, isDoubtOnly: false, share, willBeFit: false, lowest: 0 },
        now,
      )
      this.ready = null
      return this.state(null, null, [...unknowns], [], this.remedyOfUnknown(circumstances, now))
    }
    const found = assess(outlook, workClass)
    this.variability.take(now, found.kept / share)
    const room = share * this.variability.room
    const low = found.counted <= share && found.kept <= share - room
    const isFit = this.shown?.verdict === 'fit'
    const staysFit = isFit && found.kept <= share
    const { kept } = isFit && !staysFit ? assess(asUsuallyKnown(outlook), workClass) : found
    if (low || staysFit) this.ready = null
    else if (isStale(this.ready, now)) {
      const { ready, settles, lowest } = readyTime(outlook, workClass, this.limit, proof / 1000, limitOf(workClass))
      this.ready = { at: now, value: ready, settles, lowest }
    }
    // where things settle while a door stands open is nothing to wait for: it will shut
    const isHeld = disturbance?.to === null && isOnTheMove(outlook)
    const judgement = {
      known: true,
      index: found.counted,
      kept: found.kept,
      room,
      isDoubtOnly: kept <= limitOf(workClass) || found.barely <= share,
      share,
      willBeFit: this.ready?.settles === true && !isHeld,
      lowest: isHeld ? Number.POSITIVE_INFINITY : (this.ready?.lowest ?? found.counted),
    }
    this.shown = nextVerdict(this.shown, judgement, now)
    const { verdict, lowSince } = this.shown
    const reasons = verdict === 'fit' ? [...circumstances.standIns] : this.reasons(outlook, found, circumstances)
    if (verdict !== 'fit' && lowSince !== null)
      reasons.unshift({ kind: 'waiting', since: lowSince, until: lowSince + proof })
    else if (verdict !== 'fit' && found.counted <= share)
      reasons.unshift({ kind: 'restless', room, left: share - found.kept })
    reasons.push(...overdueReasons(overdue))
    const ahead = this.readyNow(low, now)
    // of what is low enough already only the wait is left, which no record puts in doubt
    const ready = low ? ahead : ahead && this.named(ahead, now)
    if (ahead && !ready)
      reasons.push({
        kind: 'poor record',
        ...this.times.asFound,
        ...(this.times.isFirstDay(now) && { isFirstDay: true }),
      })
    if (verdict === 'settling' && !ahead) reasons.push({ kind: 'no time' })
    const remedy = verdict === 'fit' ? null : this.remedy(outlook, circumstances, ready, now)
    return this.state({ ...found, kept }, ready, reasons, withOverdueNamed(found.axes, overdue), remedy)
  }

  private state(
    found: Assessment | null,
    ready: ReadyTime | null,
    reasons: Reason[],
    axes: ClassState['axes'],
    remedy: Remedy | null,
  ): ClassState {
    const { verdict, since } = this.shown!
    const thermalErrorIndex = found?.index ?? null
    const counted = (verdict === 'fit' ? found?.kept : found?.counted) ?? null
    const { record } = this.times
    const fitByRecord = record.of > 0 ? record : null
    return {
      workClass: this.workClass.id,
      verdict,
      since,
      thermalErrorIndex,
      counted,
      ready,
      reasons,
      remedy,
      fitByRecord,
      axes,
    }
  }

  private reasons(
    outlook: Outlook,
    found: Assessment,
    { disturbance, standIns, stateBefore }: Circumstances,
  ): Reason[] {
    const worst = outlook.loop.axes.findIndex(({ axis }) => axis.id === found.worst)
    const axis = outlook.loop.axes[worst]!
    const reasons = errorReasons(outlook, axis, this.workClass, found.nominal[worst]!, found.axes[worst]!)
    const [first] = reasons
    // afterwards, a door explains only what still moves because of it
    const byAir = disturbance?.to === null || first?.kind !== 'workpiece'
    if (disturbance && first && byAir && isOnTheMove(outlook)) {
      const { from, to } = disturbance
      const present = { nodes: Float64Array.from(outlook.nodes, n => n.temperature), part: outlook.part.temperature }
      const after = to === null ? present : stateBefore(to + settlesAfter)
      const opening = { before: stateBefore(from), after, over: to !== null }
      reasons[0] = disturbedBy(disturbance, first, outlook, axis, this.workClass, opening)
    }
    return [...reasons, ...standIns]
  }

  /** What is to be named of a time found, ms; null where the record lets none be named. */
  private named(found: ReadyTime, now: number): ReadyTime | null {
    const latest = this.times.name(found.latest, now)
    return latest === null ? null : { ...found, latest }
  }

  /** The ready time as moments, ms; the wait in which a machine must show that it has become fit is part of it. */
  private readyNow(low: boolean, now: number): ReadyTime | null {
    if (this.shown?.verdict !== 'settling') return null
    if (low) {
      const since = this.shown.lowSince ?? now
      return { earliest: since, likely: since, latest: since + proof }
    }
    return this.ready?.value ? readyBetween(this.ready.at, this.ready.value, now, proof) : null
  }

  /**
   * Makes moments of ready times that are found now, under whatever plan for the air, as the verdict stands.
   *
   * @param now ms
   */
  readyFrom(now: number): (found: ReadyAhead) => ReadyTime {
    const isFit = this.shown?.verdict === 'fit'
    // what is fit already and stays so has nothing to prove
    return found => readyBetween(now, found, now, isFit && found.latest === 0 ? 0 : proof)
  }

  /** The remedy whose effect is computed: looked for anew as often as a ready time, or when something changed. */
  private remedy(
    outlook: Outlook,
    { open, airChange, datumAt }: Circumstances,
    ready: ReadyTime | null,
    now: number,
  ): Remedy | null {
    const { workClass } = this
    const of = [this.shown?.verdict, open?.source, datumAt, ready !== null].join()
    if (this.found?.of !== of || isStale(this.found, now)) {
      const fitBy = ready?.latest ?? null
      const situation = { outlook, workClass, limit: this.limit, now, proof: proof / 1000, fitBy, airChange, open }
      this.found = { at: now, of, value: ownRemedy(situation) }
    }
    const { value } = this.found!
    // the same fact has one time everywhere
    return ready && (value?.kind === 'wait' || value?.kind === 'soak')
      ? { ...value, leaves: { ...value.leaves, fitBy: ready.latest } }
      : value
  }

  /** What to do where nothing can be said: ask the sensor, or record a zero. */
  private remedyOfUnknown(circumstances: Circumstances, now: number): Remedy | null {
    const { outlook, unknowns } = circumstances
    const missing = unknowns.filter((reason): reason is MissingNode => reason.kind === 'missing')
    if (missing[0]) return { kind: 'sensor', missing: missing[0], others: missing.length - 1 }
    return outlook && this.remedy({ ...outlook, datum: null }, circumstances, null, now)
  }
}
