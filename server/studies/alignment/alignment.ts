import { type AlignmentCheck, alignmentKind, type Follows, followsTemperature } from '../../../core/alignment/index.js'
import type { Machine } from '../../../core/shop.js'
import { type Past, temperaturesAt } from '../../history/index.js'
import { standingFacts } from '../../store/standing-facts.js'
import type { Store } from '../../store/store.js'

const hour = 3_600_000
/** K within an hour; a body that changes faster has not settled. Judgement, no source */
const settled = 0.5

/** A machine's checks in order of their time; what was taken back is not among them. */
export const alignmentChecksOf = (store: Pick<Store, 'facts'>, machine: string): Promise<AlignmentCheck[]> =>
  standingFacts(store, machine, 'alignment check', 'alignment check taken back', ({ check }) => check)

/** How warm the machine was at a check, and whether some body of it was still on its way. */
export const thermalStateOf = async (
  past: Past,
  machine: Machine,
  at: number,
): Promise<Pick<AlignmentCheck, 'temperatures' | 'moving'>> => {
  const temperatures = await temperaturesAt(past, machine, at)
  const before = await temperaturesAt(past, machine, at - hour)
  const changes = machine.nodes.flatMap(({ id, kind }) => {
    const [now, then] = [temperatures[id], before[id]]
    return kind === 'body' && now !== undefined && then !== undefined ? [{ node: id, change: now - then }] : []
  })
  const most = changes.sort((a, b) => Math.abs(b.change) - Math.abs(a.change))[0]
  return { temperatures, moving: most && Math.abs(most.change) > settled ? most : null }
}

/** For each kind and direction that was checked, whether it goes with a temperature. */
export const followsOf = (checks: readonly AlignmentCheck[]): Follows[] =>
  alignmentKind.options.flatMap(kind => {
    const alike = checks.filter(check => check.kind === kind)
    const directions = new Set(alike.flatMap(({ readings }) => readings.map(({ direction }) => direction)))
    return [...directions].map(direction => ({ kind, ...followsTemperature(alike, direction) }))
  })
