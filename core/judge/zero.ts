import type { Machine } from '../shop.js'
import type { Datum } from '../state.js'
import type { Zero } from './outlook.js'

/** The zero that a datum of a machine stands for: temperatures in °C, NaN where one was not known then. */
export const zeroOf = ({ nodes, workpiece }: Machine, { temperatures, part, firstPart }: Datum): Zero => ({
  nodes: Float64Array.from(nodes, ({ id }) => temperatures[id] ?? Number.NaN),
  part: part ?? temperatures[workpiece.node] ?? Number.NaN,
  // of a datum from before that was asked, all was taken to be zero
  firstPart: firstPart ?? true,
})
