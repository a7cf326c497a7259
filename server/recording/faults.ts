import type { RecordingContents } from '../http/schemas/recording.js'
import type { TimeProblem } from '../table/index.js'

/** What is wrong in a recording, where, and what would be right; its kind is a fixed short phrase, so that it can be counted. */
export type RecordingFault = RecordingContents['faults'][number] & { kind: FaultKind }

type FaultKind =
  | 'not readable'
  | 'headings'
  | 'number of cells'
  | 'quotation'
  | TimeProblem['kind']
  | 'time in the future'
  | 'older than the readings kept'
  | 'no such sensor'
  | 'unit'
  | 'value missing'
  | 'value'

/** faults kept to be shown, in all and of one kind, so that a thousand of one do not hide the others */
const mostKept = 200
const mostOfAKind = 40

/** Counts every fault, and keeps the first ones of each kind. */
export class FaultList {
  readonly kept: RecordingFault[] = []
  private readonly byKind = new Map<FaultKind, number>()

  add(fault: RecordingFault): void {
    const before = this.byKind.get(fault.kind) ?? 0
    this.byKind.set(fault.kind, before + 1)
    if (before < mostOfAKind && this.kept.length < mostKept) this.kept.push(fault)
  }

  get total(): number {
    let sum = 0
    for (const count of this.byKind.values()) sum += count
    return sum
  }

  /** most frequent first */
  counts(): { kind: FaultKind; count: number }[] {
    return [...this.byKind].map(([kind, count]) => ({ kind, count })).sort((a, b) => b.count - a.count)
  }
}
