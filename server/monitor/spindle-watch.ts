import type { Machine, WorkClass } from '../../core/shop.js'
import {
  type KnownSpindle,
  knownAsStated,
  movedAxis,
  SpindleFollower,
  type SpindleOutlook,
  spindleOf,
  spindleOutlook,
} from '../../core/spindle/index.js'
import type { Datum, SpindleState } from '../../core/state.js'
import type { SensorBoard } from './sensor-board.js'

/** changes of speed that are remembered, so that a new test can be followed from the past: days of ordinary work */
const remembered = 5000

/** Follows a machine's spindle: its growth by its speed, and how that enters a job. */
export class SpindleWatch {
  private readonly speeds: { at: number; speed: number }[] = []
  private tested: KnownSpindle | null = null
  private follower: SpindleFollower | null = null

  constructor(
    private machine: Machine,
    private readonly sensors: SensorBoard,
    /** ids of the sensors that tell its speed */
    private readonly speedometers: () => string[],
  ) {
    this.follow()
  }

  /** as the shop file has it now */
  goOn(machine: Machine): void {
    this.machine = machine
    this.follow()
  }

  /** What its newest test says; null: as the shop file states it, or nothing. */
  setKnown(tested: KnownSpindle | null): void {
    this.tested = tested
    this.follow()
  }

  private follow(): void {
    const { spindle } = this.machine
    const known = this.tested ?? (spindle ? knownAsStated(spindle) : null)
    this.follower = known && new SpindleFollower(known)
    for (const { at, speed } of this.speeds) this.follower?.take(at, speed)
  }

  /** @param at ms @param speed 1/s */
  take(at: number, speed: number): void {
    const last = this.speeds.at(-1)
    if (last && at < last.at) return
    if (last?.speed !== speed) this.speeds.push({ at, speed })
    if (this.speeds.length > remembered) this.speeds.shift()
    this.follower?.take(at, speed)
  }

  get said(): ReturnType<typeof movedAxis> {
    return movedAxis(this.machine)
  }

  private now(now: number) {
    const isBelieved = this.speedometers().some(id => this.sensors.isBelieved(id))
    return isBelieved ? (this.follower?.now(now) ?? null) : null
  }

  /** m; its growth by its speed; null where that is not known. @param now ms */
  growth(now: number): number | null {
    return this.now(now)?.parts.reduce((sum, x) => sum + x, 0) ?? null
  }

  /** How it enters a job of a class; null for a machine of whose spindle nothing is known. @param now ms */
  outlook(
    { zeroedAt, spindleSpeed }: Pick<WorkClass, 'zeroedAt' | 'spindleSpeed'>,
    datum: Datum | null,
    now: number,
  ): SpindleOutlook | null {
    if (!this.follower) return null
    return spindleOutlook(this.follower.known, {
      said: this.said,
      speed: spindleSpeed ?? this.said.workSpeed,
      now: this.now(now),
      zero: zeroedAt === 'job start' ? null : datum?.spindle,
    })
  }

  /** @param now ms */
  state(now: number): SpindleState | null {
    if (!this.follower) return null
    const { law, testedAt } = this.follower.known
    const known = this.now(now)
    const spindle = spindleOf(law)
    const steady = (speed: number) => law.shares.reduce((sum, _, part) => sum + spindle.target(part, speed), 0)
    const workSpeed = this.said.workSpeed ?? law.speeds.at(-1)!
    const held = this.outlook({ zeroedAt: 'job start' }, null, now)!.held?.(0)
    return {
      growth: held?.growth ?? null,
      standardUncertainty: held?.standardUncertainty ?? null,
      speed: known?.speed ?? null,
      steadyGrowth: known && steady(known.speed),
      workSpeed,
      workGrowth: steady(workSpeed),
      isBeyond: (known?.speed ?? 0) > law.speeds.at(-1)!,
      axis: this.said.axis,
      testedAt,
    }
  }
}
