import { IANAZone } from 'luxon'
import { type DateOrder, isoOf } from '../../core/written-time.js'
import { quoted } from './quoted.js'

/** Why a text is no time, and what would be right. */
export interface TimeProblem {
  kind: 'time' | 'time that occurs twice' | 'time that does not exist'
  problem: string
  remedy: string
}

/** ms since 1970, and whether the hour is one that clocks repeat; or why it is no time */
export type TimeRead = { at: number; repeated: boolean } | TimeProblem

/** how the column of times is meant; null: as each cell says by itself */
export interface TimeMeaning {
  /** IANA name, "UTC" or a fixed offset such as +01:00: where a time without a zone holds; null when that is not known,
   * and such a time is refused */
  zone: string | null
  /** of dates such as 3/4/2026; when left out or null they are refused */
  order?: DateOrder | null
  /** of bare numbers */
  scale: 's' | 'ms' | null
}

/** a date and a time of day, to the minute at least, and where they hold (RFC 3339, ISO 8601) */
const stamp =
  /^(\d{4})-(\d\d)-(\d\d)[T ](\d\d):(\d\d)(?::(\d\d)(?:[.,](\d{1,18}))?)? ?(Z|UTC|GMT|[+\u2212-]\d\d(?::?\d\d)?)?$/i
const number = /^\d{1,16}(?:[.,]\d{1,9})?$/

/** numbers below are s since 1970, of which 1e11 is in the year 5138; 1e11 ms is in 1973, and so on, by thousands */
const fewestMilliseconds = 1e11
const fewestMicroseconds = 1e14
const fewestNanoseconds = 1e17
/** s; before 1973 nothing was recorded, and smaller numbers are something else, a spreadsheet's days for instance */
const fewestSeconds = 1e8

const minute = 60_000
const day = 86_400_000
/** ms; clocks are put forward and back at whole quarters of an hour */
const quarter = 15 * minute
/** zones and quarters of an hour kept in mind */
const mostZones = 50
const mostQuarters = 20_000

/** @param value s, ms, µs or ns since 1970, told apart by its size @returns ms, not rounded */
export const epochTime = (value: number): number => {
  if (value < fewestMilliseconds) return value * 1e3
  if (value < fewestMicroseconds) return value
  return value < fewestNanoseconds ? value / 1e3 : value / 1e6
}

/** Minutes that a zone can be ahead of UTC while its clocks show a time: none, one or two, the largest first. */
const offsetsIn = (name: string): ((wall: number) => number[]) => {
  if (/^[+-]/.test(name)) return () => [offsetWritten(name)]
  const zone = IANAZone.create(name === 'UTC' ? 'Etc/UTC' : name)
  const known = new Map<number, number[]>()
  return wall => {
    const at = Math.floor(wall / quarter) * quarter
    let found = known.get(at)
    if (!found) {
      const around = new Set([zone.offset(at - day), zone.offset(at + day)])
      found = [...around].filter(offset => zone.offset(at - offset * minute) === offset).sort((a, b) => b - a)
      if (known.size > mostQuarters) known.clear()
      known.set(at, found)
    }
    return found
  }
}

const zones = new Map<string, (wall: number) => number[]>()
const offsetsOf = (zone: string): ((wall: number) => number[]) => {
  let offsets = zones.get(zone)
  if (!offsets) {
    offsets = offsetsIn(zone)
    if (zones.size > mostZones) zones.clear()
    zones.set(zone, offsets)
  }
  return offsets
}

/** @returns minutes; NaN when there is no such zone */
const offsetWritten = (zone: string): number => {
  if (/^(?:z|utc|gmt)$/i.test(zone)) return 0
  const sign = zone.startsWith('+') ? 1 : -1
  const hours = Number(zone.slice(1, 3))
  const minutes = Number(zone.slice(3).replace(':', '') || 0)
  return hours > 18 || minutes > 59 ? Number.NaN : sign * (60 * hours + minutes)
}

/**
 * What a date and time of day in ISO 8601 can mean: one moment; two when it has no zone and clocks are put back over it,
 * none when they are put forward over it.
 *
 * @param text date and time, to the minute at least, with a zone (Z, UTC, +01:00) or without
 * @param zone IANA name where a time without a zone holds; null when that is not known
 * @returns ms since 1970, ascending
 */
export const instantsOf = (text: string, zone: string | null): number[] | 'no time' | 'no zone' => {
  const parts = stamp.exec(text)
  if (!parts) return 'no time'
  const [year, month, date, hour, minutes, seconds] = parts.slice(1, 7).map(part => Number(part ?? 0)) as number[]
  const [, , , , , , , fraction = '', zoneWritten] = parts
  const wall = Date.UTC(year!, month! - 1, date, hour, minutes, seconds, Math.round(Number(`0.${fraction}0`) * 1000))
  const sameDate = new Date(Date.UTC(year!, month! - 1, date)).getUTCDate() === date
  if (!sameDate || month! < 1 || month! > 12 || hour! > 23 || minutes! > 59 || seconds! > 59) return 'no time'
  if (zoneWritten === undefined && zone === null) return 'no zone'
  const offsets = zoneWritten === undefined ? offsetsOf(zone!)(wall) : [offsetWritten(zoneWritten)]
  const instants = offsets.map(offset => wall - offset * minute)
  return instants.every(at => at >= 0) ? instants : 'no time'
}

const remedy =
  'write it as 2026-01-14 09:30 (the shop’s time), with its zone as 2026-01-14T08:30Z, or as s or ms since 1970'

const noTime = (text: string): TimeProblem => ({ kind: 'time', problem: `${quoted(text)} is not a time`, remedy })

const unclear = (text: string): TimeProblem => ({
  kind: 'time',
  problem: `${quoted(text)} may have the day first or the month first`,
  remedy: 'say which it is, or write it as 2026-01-14 09:30',
})

const ofNumber = (text: string, scale: TimeMeaning['scale']): TimeRead => {
  const value = Number(text.replace(',', '.'))
  const at = Math.round(scale === null ? epochTime(value) : scale === 's' ? value * 1000 : value)
  if (at < fewestSeconds * 1000)
    return {
      kind: 'time',
      problem: `${quoted(text)} is no time in ${scale ?? 's'} since 1970`,
      remedy: `${remedy}; a spreadsheet’s count of days must be formatted as a date first`,
    }
  return at < 8.64e15 ? { at, repeated: false } : noTime(text)
}

/**
 * Makes what reads the times of a table: ISO 8601 date and time with or without a zone, the ways in which loggers and
 * spreadsheets write them (`isoOf`), or a number since 1970.
 *
 * A time without a zone is the shop's. In the hour that clocks repeat in autumn each such time occurs twice: the first
 * of the two is meant while it lies after the time before it (of the same sensor, or in the row before), and the second
 * once the times have gone back; where there is no time before it, or that tells nothing, it is refused. A time in the
 * hour that is left out in spring is refused.
 *
 * @returns previous is the time before, in ms, or null
 */
export const timeReader = ({
  zone,
  scale,
  order = null,
}: TimeMeaning): ((text: string, previous: number | null) => TimeRead) => {
  return (written, previous) => {
    const text = written.trim()
    if (text === '') return { kind: 'time', problem: 'the time is missing', remedy }
    if (number.test(text)) return ofNumber(text, scale)
    let found = instantsOf(text, zone)
    if (found === 'no time') {
      const iso = isoOf(text, order)
      if (iso === 'unclear') return unclear(text)
      if (iso !== null) found = instantsOf(iso, zone)
    }
    if (found === 'no time') return noTime(text)
    if (found === 'no zone')
      return { kind: 'time', problem: `${quoted(text)} has no zone`, remedy: 'write its zone: 2026-01-14T08:30Z' }
    const [first, second] = found
    if (first === undefined)
      return {
        kind: 'time that does not exist',
        problem: `${quoted(text)} does not exist: clocks in ${zone} were put forward over it`,
        remedy: 'write it with its zone, or correct the recorder’s clock',
      }
    if (second === undefined) return { at: first, repeated: false }
    if (previous !== null && previous < first) return { at: first, repeated: true }
    if (previous !== null && previous < second) return { at: second, repeated: true }
    return {
      kind: 'time that occurs twice',
      problem: `${quoted(text)} occurs twice: clocks in ${zone} were put back over it, and the row before does not tell which is meant`,
      remedy: 'write it with its zone, for example with Z behind it when it is UTC',
    }
  }
}
