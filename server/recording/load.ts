import { createReadStream } from 'node:fs'
import type { Shop } from '../../core/shop.js'
import { timeReader } from '../table/index.js'
import { Contents } from './contents.js'
import { readRecording } from './read.js'
import { gather, type Sequence } from './replaying.js'
import { sensorLookup, topicLookup } from './sensor-names.js'

/** something to put right before a recording can be replayed */
export class NotUsable extends Error {}

const shownFaults = 10

const iso = (at: number): string => new Date(at).toISOString()

const timeOf = (name: string, text: string | null, zone: string | null, otherwise: number): number => {
  if (text === null) return otherwise
  const read = timeReader({ zone, scale: null })(text, null)
  if ('at' in read) return read.at
  throw new NotUsable(`--${name}: ${read.problem}; ${read.remedy}.`)
}

/** what is wrong in the file, the first few with their lines */
const tellFaults = (
  { faults, headings, rowsRefused, valuesRefused }: Contents,
  complain: (text: string) => void,
): void => {
  for (const { line, column, problem, remedy } of faults.kept.slice(0, shownFaults))
    complain(`${line > 0 ? `line ${line}` : 'the file'}${column ? `, ${column}` : ''}: ${problem}\n  → ${remedy}`)
  if (faults.total > shownFaults) complain(`… and ${faults.total - shownFaults} more`)
  if (rowsRefused + valuesRefused > 0)
    complain(`Left out: ${rowsRefused} rows, and ${valuesRefused} single values of other rows.`)
  for (const { heading, why } of headings?.leftOut ?? []) complain(`The column "${heading}" is left out: ${why}.`)
}

/**
 * Reads a recording that is to be replayed.
 *
 * @param shop null: the names in the recording are topics
 * @param complain is told what is wrong in it, and what is left out
 * @throws NotUsable when nothing of it can be replayed
 */
export const loadSequence = async (
  { file, from, to }: { file: string; from: string | null; to: string | null },
  shop: Shop | null,
  complain: (text: string) => void,
): Promise<{ sequence: Sequence; contents: Contents }> => {
  const contents = new Contents()
  const zone = shop?.timeZone ?? null
  const begin = timeOf('from', from, zone, Number.NEGATIVE_INFINITY)
  const end = timeOf('to', to, zone, Number.POSITIVE_INFINITY)
  const lookup = shop ? sensorLookup(shop.sensors) : topicLookup()
  let sequence: Sequence
  try {
    sequence = await gather(
      readRecording(() => createReadStream(file), { lookup, zone }, contents),
      contents,
      begin,
      end,
    )
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException
    throw code ? new NotUsable(`The recording ${file} cannot be read: ${message}`) : error
  }
  tellFaults(contents, complain)
  if (contents.datesUnclear)
    throw new NotUsable(
      `The recording ${file} does not tell whether "${contents.datesUnclear}" has the day or the month first: import it, say which, and replay its export; or write its dates as 2026-01-14.`,
    )
  const unreachable = [...contents.sensors.values()].filter(part => part.sensor.topic === undefined)
  if (unreachable.length > 0)
    complain(
      `Left out: the readings of ${unreachable.length} sensors without a topic of their own (found by a topic pattern, or Sparkplug): ${unreachable
        .slice(0, 5)
        .map(part => part.sensor.id)
        .join(', ')}${unreachable.length > 5 ? ' …' : ''}.`,
    )
  if (contents.failed) throw new NotUsable(`The recording ${file} cannot be replayed; see above.`)
  if (sequence.at.length === 0)
    throw new NotUsable(
      contents.readings === 0 || unreachable.length === contents.sensors.size
        ? `The recording ${file} has no reading that can be used.`
        : `The recording ${file} has no reading between --from and --to; it goes from ${iso(contents.from)} to ${iso(contents.to)}.`,
    )
  return { sequence, contents }
}
