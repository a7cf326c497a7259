import type { WorkChange } from '../../../core/happened/index.js'
import type { Column } from '../../../core/investigation/index.js'
import type { Measured } from './groups.js'
import { lastAt } from './predicting.js'

type Inspected = Measured['inspection']

/**
 * What was recorded of each part that could explain its deviation: what its table says; where that says nothing, what the shop
 * entered for the machine. A tool that was changed has cut as many of these parts as came since.
 *
 * @param parts   in order of their cut
 * @param changes in order of their time
 */
export const columnsIn = (parts: readonly Measured[], changes: readonly WorkChange[]): Column[] => {
  const entered = (kind: WorkChange['kind']) => {
    const own = changes.filter(each => each.kind === kind)
    return (at: number) => lastAt(own, at)
  }
  const group = (suspect: Column['suspect'], of: (part: Inspected) => string, kind?: WorkChange['kind']): Column => {
    const said = parts.map(({ inspection }) => of(inspection))
    if (!kind || said.some(text => text !== '')) return { suspect, kind: 'group', values: said }
    const since = entered(kind)
    // what it was before the first change is another one, whatever its name
    const values = parts.map(({ at }) => {
      const last = since(at)
      return last ? last.what || `${kind} of ${last.id}` : `before the first ${kind}`
    })
    return { suspect, kind: 'group', values: changes.some(each => each.kind === kind) ? values : said }
  }
  const quantity = (suspect: Column['suspect'], of: (part: Inspected) => number | null): Column => ({
    suspect,
    kind: 'quantity',
    values: parts.map(({ inspection }) => of(inspection)),
  })
  const wear = quantity('tool wear', ({ toolCount }) => toolCount)
  return [
    wear.values.some(value => value !== null) ? wear : { ...wear, values: cutSince(parts, entered('tool')) },
    group('tool', ({ tool }) => tool, 'tool'),
    group('lot', ({ lot }) => lot),
    group('set-up', ({ setup }) => setup, 'set-up'),
    group('who', ({ who }) => who, 'shift'),
    quantity('order', ({ sequence }) => sequence),
  ]
}

/** how many of these parts the tool had cut when each was cut; null before the first change that was entered */
const cutSince = (parts: readonly Measured[], changeAt: (at: number) => WorkChange | undefined): (number | null)[] => {
  let [cut, tool]: [number, WorkChange | undefined] = [0, undefined]
  return parts.map(({ at }) => {
    const last = changeAt(at)
    if (last !== tool) [cut, tool] = [0, last]
    return last ? cut++ : null
  })
}
