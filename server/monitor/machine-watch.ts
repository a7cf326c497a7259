import { type LoopFactors, type ThermalLoop, thermalLoop } from '../../core/growth/index.js'
import {
  type Assessment,
  ahead,
  assess,
  defaultVerdictSettings,
  disturbedBy,
  earningDelay,
  errorReasons,
  nextVerdict,
  type Outlook,
  ownRemedy,
  type PlannedAir,
  partUncertainty,
  type ReadyAhead,
  readyTime,
  type ShownVerdict,
  type ThermalState,
  underPlan,
  type Zero,
} from '../../core/judge/index.js'
import { sayReason, shopReader } from '../../core/sentences/index.js'
import { type Soaking, soak } from '../../core/settling/index.js'
import type { Machine, Shop, WorkClass } from '../../core/shop.js'
import type {
  AxisGrowth,
  ClassState,
  Datum,
  DisturbedBy,
  Forecast,
  MachineState,
  MissingNode,
  ReadyTime,
  Reason,
  Remedy,
  VerdictChange,
} from '../../core/state.js'
import { EvenMeans } from './even-means.js'
import { NodeBoard, type NodeNow } from './node-board.js'
import type { IdentifiedSettling } from './node-follower.js'
import { overdueReasons, withOverdueNamed } from './overdue.js'
import type { SensorBoard } from './sensor-board.js'
import type { SourceBoard } from './source-board.js'

/** ms; a ready time is computed anew this often while nothing else changes */
const readyEvery = 180_000
/** K; a door explains a machine's error while something on it is still this far from where the air is taking it */
const noticeable = 0.4
/** ms; what stands open longer is no longer told from what else has moved the air */
const longestOpen = 3 * 3_600_000

/**
 * A ready time found at a moment (ms) as moments, none before now; what must be proved first is part of the latest.
 *
 * @param wait ms
 */
const moments = (at: number, { earliest, likely, latest }: ReadyAhead, now: number, wait: number): ReadyTime => {
  const moment = (ahead: number) => Math.max(at + ahead * 1000, now)
  return { earliest: moment(earliest), likely: moment(likely), latest: moment(latest) + wait }
}

interface ClassWatch {
  workClass: WorkClass
  shown: ShownVerdict | null
  /** newest search for a ready time; `named` the newest one that found any, ms */
  ready: { at: number; value: ReadyAhead | null; lowest: number } | null
  named: ReadyTime | null
  /** newest search for what to do, and for what situation it was made */
  remedy: { at: number; of: string; value: Remedy | null } | null
}

/** Follows one machine: its nodes, growth, and the verdict for each kind of work. */
export class MachineWatch {
  datum: Datum | null = null
  private loop: ThermalLoop
  private readonly nodes: NodeBoard
  private classes: ClassWatch[]
  private factors: LoopFactors = {}
  private part: Soaking | null = null
  /** five-minute means of a day of its temperature */
  private readonly partDay = new EvenMeans(300_000, 288)

  constructor(
    public machine: Machine,
    private readonly shop: Shop,
    sensors: SensorBoard,
    private readonly sources: SourceBoard,
  ) {
    this.loop = thermalLoop(machine, shop.referenceTemperature)
    this.nodes = new NodeBoard(machine, shop, sensors)
    this.classes = shop.workClasses.map(workClass => ({
      workClass,
      shown: null,
      ready: null,
      named: null,
      remedy: null,
    }))
  }

  /**
   * The shop file has changed, and with it perhaps the machine's name and the work classes, but nothing that it is made
   * of: what is followed goes on.
   *
   * @param machine as it is described now
   * @param before whose verdicts stand: its own, or those of the one that followed the machine before
   */
  goOn(machine: Machine, before: MachineWatch = this): void {
    this.machine = machine
    this.nodes.rename(machine)
    this.setFactors(this.factors)
    this.classes = this.shop.workClasses.map(workClass => {
      const of = (watch: MachineWatch) => watch.classes.find(c => c.workClass.id === workClass.id)
      const old = of(before) ?? of(this)
      if (old && before === this && JSON.stringify(old.workClass) === JSON.stringify(workClass)) return old
      // what was earned was earned by another measure
      const shown = old?.shown ? { ...old.shown, lowSince: null, pending: null } : null
      return { workClass, shown, ready: null, named: null, remedy: null }
    })
  }

  /** What was found by looking ahead holds no longer. */
  private lookAheadAnew(): void {
    for (const watch of this.classes) {
      watch.ready = null
      watch.remedy = null
    }
  }

  /** Scale factors of the loop's elements; what is evaluated from now on follows them. */
  setFactors(factors: LoopFactors): void {
    this.factors = factors
    this.loop = thermalLoop(this.machine, this.shop.referenceTemperature, factors)
    this.lookAheadAnew()
  }

  /** How a node settles, as identified; null: as configured. */
  setSettling(node: string, identified: IdentifiedSettling | null): void {
    const follower = this.nodes.follower(node)
    if (follower?.node.kind !== 'body') return
    follower.identified = identified
    this.lookAheadAnew()
  }

  /** The offset of a sensor at a node was changed by so many K: the temperatures that are remembered move with it. */
  shift(node: string, change: number): void {
    const moved = this.nodes.shift(node, change)
    const ofPart = moved.get(this.machine.workpiece.node)
    if (ofPart !== undefined) {
      if (this.part) this.part = { ...this.part, temperature: this.part.temperature + ofPart }
      this.partDay.shift(ofPart)
      if (this.datum?.part !== undefined) this.datum = { ...this.datum, part: this.datum.part + ofPart }
    }
    for (const [id, by] of moved) {
      const before = this.datum?.temperatures[id]
      if (this.datum && before !== undefined)
        this.datum = { ...this.datum, temperatures: { ...this.datum.temperatures, [id]: before + by } }
    }
    this.lookAheadAnew()
  }

  /** The verdict that stood before a restart. */
  restore(change: VerdictChange): void {
    const watch = this.classes.find(c => c.workClass.id === change.workClass)
    if (watch)
      watch.shown = {
        verdict: change.verdict,
        since: change.at,
        lowSince: null,
        pending: null,
        losses: [],
      }
  }

  /**
   * @param value °C, with the sensor's offset
   * @param sensor where it comes from
   * @param anew what was taken from it before was wrong
   */
  take(node: string, at: number, value: number, sensor: string, anew = false): void {
    if (!this.nodes.take(node, at, value, sensor, anew)) return
    if (node === this.machine.workpiece.node) this.soak(at, value)
  }

  /** The part takes the temperature of its surroundings on slowly. */
  private soak(at: number, surroundings: number): void {
    if (!this.part || at - this.part.at > 6 * 3_600_000) this.part = { at, temperature: surroundings, slope: 0 }
    else if (at > this.part.at)
      this.part = soak(this.part, surroundings, this.machine.workpiece.timeConstant, (at - this.part.at) / 1000)
    this.partDay.add(at, this.part.temperature)
  }

  evaluate(now: number): { state: MachineState; changes: VerdictChange[] } {
    const nodes = this.nodes.at(now)
    const around = nodes.find(({ state }) => state.node === this.machine.workpiece.node)
    if (around?.state.standIn && around.outlook) this.soak(now, around.outlook.temperature)
    const temperatures = nodes.map(({ outlook }) => outlook?.temperature ?? Number.NaN)
    const changes: VerdictChange[] = []
    const classes = this.classes.map(watch => {
      const before = watch.shown?.verdict
      const state = this.classNow(watch, nodes, now)
      if (state.verdict !== before) {
        changes.push({
          machine: this.machine.id,
          workClass: state.workClass,
          at: now,
          verdict: state.verdict,
          thermalErrorIndex: state.thermalErrorIndex,
          reason: state.reasons.find(({ kind }) => kind !== 'calibration') ?? null,
        })
      }
      return state
    })
    const state: MachineState = {
      machine: this.machine.id,
      at: now,
      classes,
      nodes: nodes.map(node => node.state),
      growth: this.growthNow(temperatures, nodes),
      datum: this.datum,
    }
    return { state, changes }
  }

  private outlookFor(nodes: NodeNow[], workClass: WorkClass): Outlook | null {
    if (nodes.some(node => !node.outlook)) return null
    const at = this.machine.nodes.findIndex(n => n.id === this.machine.workpiece.node)
    const surroundings = nodes[at]!.outlook!.temperature
    const part = this.part ?? { temperature: surroundings, slope: 0 }
    const { uncertainty, timeConstant } = this.machine.workpiece
    return {
      loop: this.loop,
      nodes: nodes.map(({ outlook }, i) => {
        const change = this.nodes.followers[i]!.day.ordinaryChange(workClass.duration)
        return { ...outlook!, ordinaryChange: Number.isNaN(change) ? 0.5 : change }
      }),
      part: {
        temperature: part.temperature,
        steadyTemperature: surroundings,
        timeConstant: Math.max(timeConstant, 1),
        slope: part.slope,
        uncertainty: partUncertainty(uncertainty, part.slope),
        uncertaintySoaked: uncertainty,
      },
      datum: this.zeroOf(workClass),
    }
  }

  /** What the zero of a class counts from; null where each job's start is its zero, or where none is recorded. */
  private zeroOf({ zeroedAt }: WorkClass): Zero | null {
    if (zeroedAt === 'job start' || !this.datum) return null
    const { temperatures, part, firstPart } = this.datum
    return {
      nodes: Float64Array.from(this.machine.nodes, n => temperatures[n.id] ?? Number.NaN),
      part: part ?? temperatures[this.machine.workpiece.node] ?? Number.NaN,
      // of a datum from before that was asked, all was taken to be zero
      firstPart: firstPart ?? true,
    }
  }

  /** Why nothing can be said of a class; none when all is known. */
  private unknowns(nodes: NodeNow[], { zeroedAt }: WorkClass): Reason[] {
    const found = nodes.flatMap(({ missing }): Reason[] => (missing ? [missing] : []))
    if (zeroedAt === 'job start') return found
    const { datum } = this
    const lacking = this.machine.nodes.filter(({ id }) => datum?.temperatures[id] === undefined).map(({ name }) => name)
    return lacking.length > 0 ? [...found, { kind: 'zero', lacking: datum ? lacking : null }] : found
  }

  private classNow(watch: ClassWatch, nodes: NodeNow[], now: number): ClassState {
    const { workClass } = watch
    const unknowns = this.unknowns(nodes, workClass)
    const outlook = this.outlookFor(nodes, workClass)
    const share = 100 * workClass.share
    if (!outlook || unknowns.length > 0) {
      watch.shown = nextVerdict(watch.shown, { known: false, index: 0, share, willBeFit: false, lowest: 0 }, now)
      watch.ready = null
      return this.shownState(watch, null, null, unknowns, [], this.remedyOfUnknown(watch, outlook, unknowns, now))
    }
    const found = assess(outlook, workClass)
    const disturbance = this.sources.disturbing(this.machine.exposedTo, now)
    const limit = share * (1 - defaultVerdictSettings.deadband)
    const low = found.index <= limit
    if (low) watch.ready = null
    else if (!watch.ready || now - watch.ready.at >= readyEvery || now < watch.ready.at) {
      const { ready, lowest } = readyTime(outlook, workClass, limit)
      watch.ready = { at: now, value: ready, lowest }
    }
    const judgement = {
      known: true,
      index: found.index,
      share,
      // what holds while a door stands open is nothing to wait for
      willBeFit: watch.ready?.value != null && !(disturbance?.to === null && this.isOnTheMove(outlook)),
      lowest: watch.ready?.lowest ?? found.index,
    }
    watch.shown = nextVerdict(watch.shown, judgement, now)
    const { verdict, lowSince } = watch.shown
    const reasons =
      verdict === 'fit' ? this.standIns(nodes) : this.reasons(outlook, workClass, found, nodes, disturbance)
    if (verdict !== 'fit' && lowSince !== null) {
      const until = lowSince + earningDelay(watch.shown.losses, now) * 1000
      reasons.unshift({ kind: 'waiting', since: lowSince, until, losses: watch.shown.losses.length })
    }
    const overdue = this.nodes.overdue(now)
    reasons.push(...overdueReasons(overdue))
    const axes = withOverdueNamed(found.axes, overdue)
    const ready = this.readyMoment(watch, low, now)
    const remedy = verdict === 'fit' ? null : this.remedy(watch, outlook, ready, now)
    return this.shownState(watch, found, ready, reasons, axes, remedy)
  }

  /** What to do of which something can be computed: looked for anew as often as a ready time, or when something changed. */
  private remedy(watch: ClassWatch, outlook: Outlook, ready: ReadyTime | null, now: number): Remedy | null {
    const { workClass, shown } = watch
    const open = this.actsOpen(now)
    const of = [shown?.verdict, open?.source, this.datum?.at, ready !== null].join()
    const { remedy } = watch
    if (!remedy || remedy.of !== of || now - remedy.at >= readyEvery || now < remedy.at) {
      const proof = earningDelay(shown?.losses ?? [], now)
      const limit = 100 * workClass.share * (1 - defaultVerdictSettings.deadband)
      const fitBy = ready?.latest ?? null
      watch.remedy = { at: now, of, value: ownRemedy({ outlook, workClass, limit, now, proof, fitBy, open }) }
    }
    const value = watch.remedy!.value
    // the same fact has one time everywhere
    return ready && (value?.kind === 'wait' || value?.kind === 'soak')
      ? { ...value, leaves: { ...value.leaves, fitBy: ready.latest } }
      : value
  }

  /** What to do where nothing can be said: ask the sensor, or record a zero. */
  private remedyOfUnknown(
    watch: ClassWatch,
    outlook: Outlook | null,
    unknowns: readonly Reason[],
    now: number,
  ): Remedy | null {
    const missing = unknowns.filter(({ kind }) => kind === 'missing') as MissingNode[]
    if (missing[0]) return { kind: 'sensor', missing: missing[0], others: missing.length - 1 }
    return outlook && this.remedy(watch, { ...outlook, datum: null }, null, now)
  }

  /** A door or vent that stands open and has moved the air at the machine since, and how warm that was before. */
  private actsOpen(now: number): { source: string; name: string; before: number } | null {
    const air = this.nodes.followers.find(({ node }) => node.kind === 'air')
    const present = air?.temperature()
    if (present === null || present === undefined) return null
    for (const { source, name, from } of this.sources.open(this.machine.exposedTo, now - longestOpen)) {
      const before = air!.day.before(from)
      if (Math.abs(present - before) >= noticeable) return { source, name, before }
    }
    return null
  }

  /** The ready time as moments; the wait that a machine must show before it is called fit is part of it. */
  private readyMoment(watch: ClassWatch, low: boolean, now: number): ReadyTime | null {
    if (watch.shown?.verdict !== 'settling') {
      watch.named = null
      return null
    }
    const wait = earningDelay(watch.shown.losses, now) * 1000
    if (low) {
      const since = watch.shown.lowSince ?? now
      watch.named = { earliest: since, likely: since, latest: since + wait }
    } else if (watch.ready?.value) {
      const { at, value } = watch.ready
      watch.named = moments(at, value, now, wait)
    }
    // a search that finds nothing for a while leaves the time named last, as long as that lies ahead
    if (watch.named && watch.named.latest < now) watch.named = null
    return watch.named
  }

  private shownState(
    watch: ClassWatch,
    found: Assessment | null,
    ready: ReadyTime | null,
    reasons: Reason[],
    axes: ClassState['axes'],
    remedy: Remedy | null,
  ): ClassState {
    const { verdict, since } = watch.shown!
    return {
      workClass: watch.workClass.id,
      verdict,
      since,
      thermalErrorIndex: found?.index ?? null,
      ready,
      reasons,
      remedy,
      axes,
    }
  }

  private standIns(nodes: NodeNow[]): Reason[] {
    return nodes.flatMap(({ standInName, state: { node }, outlook }): Reason[] => {
      if (!standInName || !outlook) return []
      const { name } = this.nodes.follower(node)!.node
      return [{ kind: 'stand-in', node, name, from: standInName, uncertainty: outlook.placement }]
    })
  }

  private reasons(
    outlook: Outlook,
    workClass: WorkClass,
    found: Assessment,
    nodes: NodeNow[],
    disturbance: DisturbedBy | null,
  ): Reason[] {
    const worst = outlook.loop.axes.findIndex(({ axis }) => axis.id === found.worst)
    const axis = outlook.loop.axes[worst]!
    const reasons = errorReasons(outlook, axis, workClass, found.nominal[worst]!, found.axes[worst]!)
    const [first] = reasons
    // afterwards, a door explains only what still moves because of it
    const byAir = disturbance?.to === null || first?.kind !== 'workpiece'
    if (disturbance && first && byAir && this.isOnTheMove(outlook)) {
      const { from, to } = disturbance
      const present = { nodes: Float64Array.from(outlook.nodes, n => n.temperature), part: outlook.part.temperature }
      const after = to === null ? present : this.stateBefore(to + 300_000)
      const opening = { before: this.stateBefore(from), after, over: to !== null }
      reasons[0] = disturbedBy(disturbance, first, outlook, axis, workClass, opening)
    }
    return [...reasons, ...this.standIns(nodes)]
  }

  /** Temperatures in the minutes before a moment (ms) of the last day; NaN where they are not known. */
  private stateBefore(moment: number): ThermalState {
    return {
      nodes: Float64Array.from(this.nodes.followers, ({ day }) => day.before(moment)),
      part: this.partDay.before(moment),
    }
  }

  /** Whether some body is still on its way to where the air is taking it. */
  private isOnTheMove({ nodes, part }: Outlook): boolean {
    const away = nodes.map(node => (node.follows >= 0 ? Math.abs(node.steadyTemperature - node.temperature) : 0))
    return Math.max(...away, Math.abs(part.steadyTemperature - part.temperature)) > noticeable
  }

  private growthNow(temperatures: number[], nodes: NodeNow[]): AxisGrowth[] {
    const known = (value: number) => (Number.isNaN(value) ? null : value)
    const rates = nodes.map(({ state }) => state.rate ?? Number.NaN)
    const soon = temperatures.map((t, i) => t + (rates[i] ?? 0) / 60)
    const datum = this.datum
    const atDatum = datum && this.machine.nodes.map(n => datum.temperatures[n.id] ?? Number.NaN)
    return this.loop.axes.map(({ axis, growthAt }) => {
      const atWork = growthAt(axis.workAt, temperatures)
      return {
        axis: axis.id,
        atZero: known(growthAt(0, temperatures)),
        atWork: known(atWork),
        atTravel: known(growthAt(axis.travel, temperatures)),
        sinceDatum: atDatum ? known(atWork - growthAt(axis.workAt, atDatum)) : null,
        rate: known((growthAt(axis.workAt, soon) - atWork) / 60),
      }
    })
  }

  /** @throws when a node is unknown */
  forecast(now: number, plan: readonly PlannedAir[], length: number, points: number): Forecast {
    const nodes = this.nodes.at(now)
    const outlooks = this.shop.workClasses.map(workClass => this.outlookFor(nodes, workClass))
    const [first] = outlooks
    if (!first) {
      const missing = nodes.find(node => node.missing)!.missing!
      throw new Error(`nothing can be said ahead for ${this.machine.name}: ${this.inWords(missing, now)}`)
    }
    const { times, nodes: bands, axes } = ahead(first, plan, length, points)
    // what is fit already and stays so has nothing to prove
    const wait = ({ shown }: ClassWatch, { latest }: ReadyAhead) =>
      shown?.verdict === 'fit' && latest === 0 ? 0 : earningDelay(shown?.losses ?? [], now) * 1000
    return {
      machine: this.machine.id,
      at: now,
      times: times.map(t => now + t * 1000),
      nodes: bands.map((band, i) => ({ node: this.machine.nodes[i]!.id, ...band })),
      axes: axes.map((band, i) => ({ axis: this.machine.axes[i]!.id, ...band })),
      classes: this.shop.workClasses.map((workClass, i) => {
        if (this.unknowns(nodes, workClass).length > 0) return { workClass: workClass.id, ready: null }
        const limit = 100 * workClass.share * (1 - defaultVerdictSettings.deadband)
        const { ready } = readyTime(underPlan(outlooks[i]!, plan), workClass, limit)
        return { workClass: workClass.id, ready: ready && moments(now, ready, now, wait(this.classes[i]!, ready)) }
      }),
    }
  }

  private inWords(missing: MissingNode, now: number): string {
    return sayReason(missing, shopReader(this.shop, now)).text
  }

  /** @throws when a node is unknown */
  thermalStateNow(now: number): Pick<Datum, 'temperatures' | 'part'> {
    const nodes = this.nodes.at(now)
    const missing = nodes.find(node => node.missing)
    if (missing) throw new Error(`no datum can be set for ${this.machine.name}: ${this.inWords(missing.missing!, now)}`)
    return {
      temperatures: Object.fromEntries(nodes.map(({ state, outlook }) => [state.node, outlook!.temperature])),
      ...(this.part && { part: this.part.temperature }),
    }
  }
}
