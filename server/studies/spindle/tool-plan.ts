import type { Machine } from '../../../core/shop.js'
import {
  axisWarmUps,
  headTilts,
  planToolList,
  type ToolList,
  type ToolPlanAnswer,
} from '../../../core/spindle/index.js'
import { type Past, temperaturesAt } from '../../history/index.js'
import { identificationsOf } from '../identification/index.js'
import { newestFitted, spindleTestsOf } from './spindle-tests.js'

/**
 * What is answered for a tool list: by the newest growth test that can be fitted, with the tilt that the machine's columns
 * give its head now.
 *
 * @param now ms
 * @throws RangeError when the list cannot be planned on this spindle; it says why
 */
export const toolPlanOf = async (
  past: Past,
  machine: Machine,
  list: ToolList,
  now: number,
): Promise<ToolPlanAnswer> => {
  const found = await identificationsOf(past.shop, past.store, machine, now)
  const identified = Object.fromEntries(
    found.flatMap(({ node, inUse }) => (inUse?.timeConstant ? [[node.id, inUse.timeConstant]] : [])),
  )
  const axes = axisWarmUps(machine, identified)
  const fitted = newestFitted(await spindleTestsOf(past.store, machine.id))
  if (!fitted) return { list, test: null, answer: null, axes }
  const { test, model } = fitted
  const bends = machine.structure.some(({ kind }) => kind === 'bending column')
  const datum = (await past.store.facts.of('datum', { subject: machine.id }))
    .filter(({ at }) => at <= now)
    .sort((a, b) => b.at - a.at)[0]
  const tilts =
    bends && list.tilt === null
      ? headTilts(machine, await temperaturesAt(past, machine, now), datum?.temperatures ?? null)
      : []
  return {
    list,
    test: { id: test.id, at: test.at, fits: model.fits },
    answer: planToolList(model, list, test.test, tilts),
    axes,
  }
}
