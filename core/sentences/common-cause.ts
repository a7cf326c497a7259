import type { CommonCause } from '../common-cause.js'
import { formatDifference, formatTemperature } from '../format.js'
import { at, type Reader, type Sentence } from './reader.js'

/**
 * What keeps most machines from being fit, once for all, and from when such mornings have been fit.
 *
 * It names no rate: the wall's own is that of the shop's air over three quarters of an hour, and a second one, of these
 * machines' air over minutes, would contradict it.
 */
export const sayCommonCause = (of: CommonCause, reader: Reader): Sentence => {
  const { system } = reader
  const off = of.air - of.reference
  const is =
    of.kind === 'air falling' || of.kind === 'air rising'
      ? `${of.kind.slice(4)}, now ${formatTemperature(of.air, system)}`
      : `${formatDifference(Math.abs(off), system, 'plain')} ${off < 0 ? 'under' : 'over'} ${formatTemperature(of.reference, system, 0)}`
  const { usual } = of
  return {
    text: `Air at the machines ${is}: ${of.machines.length} of ${of.of} not fit through it`,
    more: usual
      ? `Such mornings have been fit from ${at(usual.likely, reader)} (${at(usual.earliest, reader)} to ${at(usual.latest, reader)}, ${usual.days} days).`
      : 'When such mornings are usually fit is not known yet.',
  }
}
