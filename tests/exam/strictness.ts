import {
  combinedError,
  coverageOf,
  nextVerdict,
  type ShownVerdict,
  toBecomeFit,
  Variability,
} from '../../core/judge/index.js'
import { thermalErrorIndex } from '../../core/judge/thermal-error-index.js'
import type { WorkClass } from '../../core/shop.js'
import type { AxisJob, ClassState, MachineState, Verdict } from '../../core/state.js'
import { limitOf } from '../../server/monitor/class-watch.js'

/** A decision rule, and how much of the room that an index is seen to move by it asks for. */
export interface Strictness {
  probability: number
  room: number
}

/** From lenient to strict. The one in use is among them. */
export const strictnesses: readonly Strictness[] = [
  { probability: 0.95, room: 0 },
  { probability: 0.8, room: 1 },
  { probability: 0.95, room: 0.5 },
  { probability: 0.9, room: 1 },
  { probability: 0.95, room: 1 },
  { probability: 0.977, room: 1 },
  { probability: 0.99, room: 1 },
  { probability: 0.95, room: 1.5 },
]
/** What is compared: the verdict that the service shows, and its fit or not by each strictness. */
export const strictnessNames: readonly string[] = [
  'as shown',
  ...strictnesses.map(({ probability, room }) => `${+(100 * probability).toFixed(1)} %, room × ${room}`),
]

/** m; expanded uncertainty without the doubt where bodies are heading, which may be gone in a moment */
const withoutDoubt = ({ budget, uncertainty }: AxisJob): number => {
  const doubt = budget.find(({ name }) => name === 'where the nodes are heading')?.standardUncertainty ?? 0
  return Math.sqrt(Math.max(0, uncertainty ** 2 - (2 * doubt) ** 2))
}

class Followed {
  shown: ShownVerdict | null = null
  private readonly variability = new Variability()

  constructor(
    private readonly workClass: WorkClass,
    private readonly strictness: Strictness,
  ) {}

  /** As the service's own watch of a class does; settling and unfit are not told apart. @param now ms */
  take({ axes }: ClassState, now: number): void {
    const { tolerance } = this.workClass
    const share = 100 * this.workClass.share
    const { probability, room } = this.strictness
    const indexWith = (coverage: number, of = ({ uncertainty }: AxisJob) => uncertainty) =>
      Math.max(...axes.map(axis => thermalErrorIndex(combinedError(axis), (coverage / 2) * of(axis), tolerance)))
    const keeping = coverageOf(probability)
    const kept = indexWith(keeping)
    if (axes.length > 0) this.variability.take(now, kept / share)
    const judgement = {
      known: axes.length > 0,
      index: indexWith(keeping + toBecomeFit),
      kept,
      room: share * room * this.variability.room,
      isDoubtOnly:
        indexWith(keeping, withoutDoubt) <= limitOf(this.workClass) || indexWith(keeping - toBecomeFit) <= share,
      share,
      willBeFit: false,
      lowest: kept,
    }
    this.shown = nextVerdict(this.shown, judgement, now)
  }
}

/** Follows what verdicts would have been shown had the rule been less or more strict, by the same errors and uncertainties. */
export class OtherRules {
  /** how often each of `strictnessNames` became or ceased to be fit */
  readonly changes = strictnessNames.map(() => 0)
  private readonly followed = new Map<string, Followed[]>()
  private readonly words = new Map<string, Verdict[]>()

  constructor(private readonly workClasses: readonly WorkClass[]) {}

  /** @param counts whether changes count by now */
  take({ machine, at, classes }: MachineState, counts: boolean): void {
    for (const workClass of this.workClasses) {
      const state = classes.find(c => c.workClass === workClass.id)!
      const key = `${machine} ${workClass.id}`
      const followed = this.followed.get(key) ?? strictnesses.map(of => new Followed(workClass, of))
      this.followed.set(key, followed)
      for (const each of followed) each.take(state, at)
      const before = this.words.get(key)
      const words = [state.verdict, ...followed.map(({ shown }) => shown!.verdict)]
      this.words.set(key, words)
      if (before && counts)
        words.forEach((word, i) => {
          if ((word === 'fit') !== (before[i] === 'fit')) this.changes[i]!++
        })
    }
  }

  /** Of a machine and work class, the verdict by each of `strictnessNames`. */
  says(machine: string, workClass: string): readonly Verdict[] {
    return this.words.get(`${machine} ${workClass}`) ?? []
  }
}
