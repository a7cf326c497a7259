import { formatDwell, formatFineGrowth, formatSpeed, type UnitSystem } from '../../core/format.js'
import type { PlanInOrder, PlannedTool, ToolPlanAnswer } from '../../core/spindle/index.js'

type Answer = NonNullable<ToolPlanAnswer['answer']>
type Cut = PlanInOrder['cuts'][number]

/** "T1, T7, T2": the order by the first word of each name where these differ, else by whole names */
export const orderWords = ({ cuts }: PlanInOrder, tools: readonly PlannedTool[]): string => {
  const names = cuts.map(({ tool }) => tools[tool]!.name)
  const short = names.map(name => name.split(' ')[0]!)
  return (new Set(short).size === short.length ? short : names).join(' → ')
}

export const isSameOrder = ({ given, best }: Answer): boolean =>
  given.cuts.every(({ tool }, i) => tool === best.cuts[i]!.tool)

/** s; less is no saving that anybody would change an order for */
const noSaving = 30

/** The answer in a sentence, and how sure it is that there is no better order. */
export const headline = (answer: Answer): { text: string; more: string } => {
  const { given, best, atLeast, exact } = answer
  const orders = exact
    ? 'No order that keeps what must come first needs less.'
    : `Of so many tools not every order could be looked at: none needs less than ${formatDwell(Math.max(0, atLeast - 6))}.`
  if (given.dwell < noSaving) return { text: 'No dwell is needed in the given order.', more: '' }
  if (isSameOrder(answer) || given.dwell - best.dwell < noSaving)
    return { text: `${formatDwell(given.dwell)} of dwell in the given order.`, more: orders }
  const left = best.dwell < noSaving ? 'none' : formatDwell(best.dwell)
  return { text: `${formatDwell(given.dwell)} of dwell in the given order, ${left} in the proposed one.`, more: orders }
}

const minutes = (at: number): string => (at < 60 ? `${at} s` : `${Math.round(at / 60)}`)

/** When to probe a tool that does not dwell: "at its start, then after 3, 6 and 10 min of the cut". */
export const probingWords = ({ probing, enough }: Cut['withoutDwell']): string => {
  if (!enough) return 'does not do, let it dwell'
  const later = probing.slice(1)
  if (later.length === 0) return 'at its start'
  const shown = later.slice(0, 8).map(minutes)
  const rest = later.length > 8 ? ` and ${later.length - 8} times more` : ''
  const unit = later.slice(0, 8).every(at => at < 60) ? '' : ' min'
  return `at its start, then after ${shown.join(', ')}${rest}${unit}`
}

/** s; a dwell that counts as none */
export const noDwell = 1

/** What the program, or who stands at the machine, does before a tool that must dwell. */
export const stepWords = (cut: Cut, tool: PlannedTool, system: UnitSystem): string =>
  `${tool.name}: turn at ${formatSpeed(tool.speed)} for ${formatDwell(cut.dwell)}, out of the cut, guard closed; then add ${formatFineGrowth(cut.offset, system)} to its length, or probe it and cut at once.`
