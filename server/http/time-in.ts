import { z } from 'zod'
import { timeReader } from '../table/index.js'
import type { AppParts } from './parts.js'
import { Refused } from './refused.js'

/** @param what "it was read": what the time is of */
export const timeText = (what: string) =>
  z.string().trim().max(40).optional().describe(`when ${what}, as 2026-01-14 06:10 in the shop's time; now if left out`)

/**
 * A time that was written in a body, by the shop's clocks.
 *
 * @returns ms @throws Refused 400 where it is no time, or lies ahead
 */
export const timeBefore = ({ shop, clock }: Pick<AppParts, 'shop' | 'clock'>, text: string, what: string): number => {
  const read = timeReader({ zone: shop.timeZone, scale: null })(text, null)
  if ('problem' in read) throw new Refused(400, read.problem, 'body "time"', read.remedy)
  if (read.at <= clock()) return read.at
  throw new Refused(400, `"${text}" lies ahead.`, 'body "time"', `Give the time at which ${what}.`)
}
