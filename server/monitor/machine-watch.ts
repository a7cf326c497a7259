import { type LoopFactors, type ThermalLoop, thermalLoop } from '../../core/growth/index.js'
import {
  lookingAhead,
  type Outlook,
  type PlannedAir,
  type PlannedCourse,
  readyTime,
  underPlan,
  withSources,
} from '../../core/judge/index.js'
import { sayReason, shopReader } from '../../core/sentences/index.js'
import type { Machine, Shop } from '../../core/shop.js'
import type { KnownSpindle } from '../../core/spindle/index.js'
import type { Datum, FitByOutcome, Forecast, MachineState, MissingNode, VerdictChange } from '../../core/state.js'
import { axisGrowth } from './axis-growth.js'
import { circumstancesNow } from './circumstances.js'
import { ClassWatch } from './class-watch.js'
import { type Past, pastOf } from './named-times.js'
import { NodeBoard, type NodeNow } from './node-board.js'
import type { IdentifiedSettling } from './node-follower.js'
import { PartFollower } from './part-follower.js'
import type { SensorBoard } from './sensor-board.js'
import type { SourceBoard } from './source-board.js'
import { SpindleWatch } from './spindle-watch.js'

/** Follows one machine: its nodes, growth, and the verdict for each kind of work. */
export class MachineWatch {
  datum: Datum | null = null
  private loop: ThermalLoop
  private readonly nodes: NodeBoard
  private classes: ClassWatch[]
  private factors: LoopFactors = {}
  private readonly part = new PartFollower()
  readonly spindle: SpindleWatch

  constructor(
    public machine: Machine,
    private readonly shop: Shop,
    sensors: SensorBoard,
    private readonly sources: SourceBoard,
    private readonly named: { past: Past },
  ) {
    this.loop = thermalLoop(machine, shop.referenceTemperature)
    this.nodes = new NodeBoard(machine, shop, sensors)
    this.classes = shop.workClasses.map(workClass => new ClassWatch(workClass, named))
    this.spindle = new SpindleWatch(machine, sensors, () =>
      shop.sensors.flatMap(({ id, at, unit }) =>
        at.kind === 'spindle' && at.machine === this.machine.id && unit === '1/min' ? [id] : [],
      ),
    )
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
    this.nodes.machine = machine
    this.spindle.goOn(machine)
    this.setFactors(this.factors)
    this.classes = this.shop.workClasses.map(workClass => {
      const of = (watch: MachineWatch) => watch.classes.find(c => c.workClass.id === workClass.id)
      const old = of(before) ?? of(this)
      if (old && before === this && JSON.stringify(old.workClass) === JSON.stringify(workClass)) return old
      const watch = new ClassWatch(workClass, this.named)
      if (old) watch.follow(old)
      return watch
    })
  }

  /** What was found by looking ahead holds no longer. */
  private lookAheadAnew(): void {
    for (const watch of this.classes) watch.lookAheadAnew()
  }

  /** Scale factors of the loop's elements; what is evaluated from now on follows them. */
  setFactors(factors: LoopFactors): void {
    this.factors = factors
    this.loop = thermalLoop(this.machine, this.shop.referenceTemperature, factors)
    this.lookAheadAnew()
  }

  /** What is known of its spindle from a growth test; null: as the shop file states it, or nothing. */
  setSpindle(known: KnownSpindle | null): void {
    this.spindle.setKnown(known)
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
      this.part.shift(ofPart)
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
  restore(change: VerdictChange, goesOn: boolean): void {
    this.classes.find(c => c.workClass.id === change.workClass)?.restore(change, goesOn)
  }

  /** What became of the times that were found for "fit by" before a restart, the oldest first. */
  restoreTimes(outcomes: readonly FitByOutcome[]): void {
    for (const watch of this.classes)
      watch.times.past = pastOf(outcomes.filter(({ workClass }) => workClass === watch.workClass.id))
  }

  /**
   * Takes a reading of a node.
   *
   * @param at ms
   * @param value °C, with the sensor's offset
   * @param sensor where it comes from
   * @param anew what was taken from it before was wrong
   */
  take(node: string, at: number, value: number, sensor: string, anew = false): void {
    if (!this.nodes.take(node, at, value, sensor, anew)) return
    if (node === this.machine.workpiece.node) this.part.take(at, value, this.machine.workpiece.timeConstant)
  }

  /** A mean of a past half hour (°C), of which only the node's usual day is learned. */
  recall(node: string, at: number, mean: number): void {
    this.nodes.follower(node)?.recall(at, mean)
  }

  /** What is said of the machine now, and the verdicts that have changed with it. @param now ms */
  evaluate(now: number): { state: MachineState; changes: VerdictChange[]; fitBys: FitByOutcome[] } {
    const nodes = this.nodes.at(now)
    const { workpiece } = this.machine
    const around = nodes.find(({ state }) => state.node === workpiece.node)
    if (around?.state.standIn && around.outlook) this.part.take(now, around.outlook.temperature, workpiece.timeConstant)
    const circumstancesOf = this.circumstances(now, nodes)
    const changes: VerdictChange[] = []
    const classes = this.classes.map(watch => {
      const before = watch.shown?.verdict
      const state = watch.evaluate(circumstancesOf(watch.workClass), now)
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
    const spindle = this.spindle.state(now)
    const state: MachineState = {
      machine: this.machine.id,
      at: now,
      classes,
      nodes: nodes.map(node => node.state),
      growth: this.growthNow(nodes, now),
      ...(spindle && { spindle }),
      datum: this.datum,
    }
    const fitBys = this.classes.flatMap(watch =>
      watch.times.takeOutcomes().map(each => ({ machine: this.machine.id, workClass: watch.workClass.id, ...each })),
    )
    return { state, changes, fitBys }
  }

  /** Finds what work of a class is judged by now, also of one that is not in the shop file. @param now ms */
  circumstances(now: number, nodes = this.nodes.at(now)): ReturnType<typeof circumstancesNow> {
    const { machine, shop, loop, nodes: board, part, spindle, sources, datum } = this
    return circumstancesNow({ machine, shop, loop, board, part, spindle, sources, datum }, nodes, now)
  }

  private growthNow(nodes: NodeNow[], now: number): MachineState['growth'] {
    const temperatures = nodes.map(({ outlook }) => outlook?.temperature ?? Number.NaN)
    const rates = nodes.map(({ state }) => state.rate ?? Number.NaN)
    const { datum } = this
    const atDatum = datum && this.machine.nodes.map(({ id }) => datum.temperatures[id] ?? Number.NaN)
    const grown = this.spindle.growth(now)
    const { axis, sign } = this.spindle.said
    const spindle = grown === null ? null : { axis, now: sign * grown, atDatum: sign * (datum?.spindle ?? Number.NaN) }
    return axisGrowth(this.loop, temperatures, rates, atDatum, spindle)
  }

  /** What `Monitor.forecasting` says, of this machine; the first step takes it as it is now. */
  *forecasting(
    now: number,
    plan: readonly PlannedAir[],
    length: number,
    points: number,
    sources?: PlannedCourse,
  ): Generator<void, Forecast> {
    const { machine } = this
    const nodes = this.nodes.at(now)
    const planned = (outlook: Outlook | null) => (outlook && sources ? withSources(outlook, sources) : outlook)
    const circumstancesOf = this.circumstances(now, nodes)
    const classes = this.classes.map(watch => {
      const { outlook, unknowns } = circumstancesOf(watch.workClass)
      const { workClass, limit } = watch
      return {
        workClass,
        limit,
        ready: watch.readyFrom(now),
        outlook: planned(outlook),
        isKnown: unknowns.length === 0,
      }
    })
    const first = classes[0]?.outlook
    if (!first) {
      const missing = nodes.find(node => node.missing)!.missing!
      throw new Error(`nothing can be said ahead for ${machine.name}: ${this.inWords(missing, now)}`)
    }
    const { times, nodes: bands, axes } = yield* lookingAhead(first, plan, length, points)
    const found: Forecast['classes'] = []
    for (const { workClass, limit, outlook, isKnown, ready } of classes) {
      yield
      const next = isKnown ? readyTime(underPlan(outlook!, plan), workClass, limit).ready : null
      found.push({ workClass: workClass.id, ready: next && ready(next) })
    }
    return {
      machine: machine.id,
      at: now,
      times: times.map(t => now + t * 1000),
      nodes: bands.map((band, i) => ({ node: machine.nodes[i]!.id, ...band })),
      axes: axes.map((band, i) => ({ axis: machine.axes[i]!.id, ...band })),
      classes: found,
    }
  }

  private inWords(missing: MissingNode, now: number): string {
    return sayReason(missing, shopReader(this.shop, now)).text
  }

  /** The temperatures that a datum set now would hold, °C. @param now ms @throws Error when a node is unknown */
  thermalStateNow(now: number): Pick<Datum, 'temperatures' | 'part' | 'spindle'> {
    const nodes = this.nodes.at(now)
    const missing = nodes.find(node => node.missing)
    if (missing) throw new Error(`no datum can be set for ${this.machine.name}: ${this.inWords(missing.missing!, now)}`)
    const part = this.part.temperature
    const spindle = this.spindle.growth(now)
    return {
      temperatures: Object.fromEntries(nodes.map(({ state, outlook }) => [state.node, outlook!.temperature])),
      ...(part !== undefined && { part }),
      ...(spindle !== null && { spindle }),
    }
  }
}
