import { IANAZone } from 'luxon'
import type { FaultKind } from './faults.js'
import { quoted } from './faults.js'

/** a moment, or why it is none */
export type Moment =
  | { at: number; repeated: boolean }
  | { kind: Extract<FaultKind, `time${string}`>; problem: string; remedy: string }

/** how the column of times is meant; null: as each cell says by itself */
export interface TimeMeaning {
  /** IANA name or "UTC": where a time without a zone holds; null when that is not known, and such a time is refused */
  zone: string | null
  /** of bare numbers */
  scale: 's' | 'ms' | null
}

const stamp =
  /^(\d{4})-(\d\d)-(\d\d)[T ](\d\d):(\d\d)(?::(\d\d)(?:[.,](\d{1,9}))?)? ?(Z|UTC|GMT|[+\u2212-]\d\d(?::?\d\d)?)?$/i
const number = /^\d{1,16}(?:[.,]\d{1,9})?$/

/** numbers from here on are ms, below it s, as on the wire: 1e11 ms is in 1973, 1e11 s in the year 5138 */
const fewestMilliseconds = 1e11
/** s; before 1973 nothing was recorded, and smaller numbers are something else, a spreadsheet's days for instance */
const fewestSeconds = 1e8

const minute = 60_000
const day = 86_400_000
/** ms; clocks are put forward and back at whole quarters of an hour */
const quarter = 15 * minute

const remedy =
  'write it as 2026-01-14 09:30 (the shop’s time), with its zone as 2026-01-14T08:30Z, or as s or ms since 1970'

/** ms; minutes of the zone at the wall clock's quarter of an hour → what they can be: none, one or two offsets */
const offsets = (zone: IANAZone, wall: number): number[] => {
  const around = new Set([zone.offset(wall - day), zone.offset(wall + day)])
  return [...around].filter(offset => zone.offset(wall - offset * minute) === offset).sort((a, b) => b - a)
}

const offsetWritten = (zone: string): number => {
  if (/^(?:z|utc|gmt)$/i.test(zone)) return 0
  const sign = zone.startsWith('+') ? 1 : -1
  const hours = Number(zone.slice(1, 3))
  const minutes = Number(zone.slice(3).replace(':', '') || 0)
  return hours > 18 || minutes > 59 ? Number.NaN : sign * (60 * hours + minutes)
}

const noTime = (text: string): Moment => ({ kind: 'time', problem: `${quoted(text)} is not a time`, remedy })

/**
 * Makes what reads the times of a recording: ISO 8601 date and time with or without a zone, or s or ms since 1970.
 *
 * A time without a zone is the shop's. In the hour that clocks repeat in autumn each such time occurs twice: the first
 * of the two is meant while it lies after the time before it (of the same sensor, or in the row before), and the second
 * once the times have gone back; where there is no time before it, or that tells nothing, it is refused. A time in the
 * hour that is left out in spring is refused.
 *
 * @returns previous is the time before, in ms, or null
 */
export const momentReader = ({ zone, scale }: TimeMeaning): ((text: string, previous: number | null) => Moment) => {
  const where = zone === null ? null : IANAZone.create(zone === 'UTC' ? 'Etc/UTC' : zone)
  const known = new Map<number, number[]>()
  const offsetsAt = (wall: number): number[] => {
    const key = Math.floor(wall / quarter)
    let found = known.get(key)
    if (!found) {
      found = where ? offsets(where, key * quarter) : []
      if (known.size > 20_000) known.clear()
      known.set(key, found)
    }
    return found
  }

  const ofNumber = (text: string): Moment => {
    const value = Number(text.replace(',', '.'))
    const unit = scale ?? (value >= fewestMilliseconds ? 'ms' : 's')
    if ((unit === 's' ? value : value / 1000) < fewestSeconds)
      return {
        kind: 'time',
        problem: `${quoted(text)} is no time in ${unit} since 1970`,
        remedy: `${remedy}; a spreadsheet’s count of days must be formatted as a date first`,
      }
    const at = Math.round(unit === 's' ? value * 1000 : value)
    return at < 8.64e15 ? { at, repeated: false } : noTime(text)
  }

  const inZone = (text: string, wall: number, previous: number | null): Moment => {
    if (!where)
      return { kind: 'time', problem: `${quoted(text)} has no zone`, remedy: 'write its zone: 2026-01-14T08:30Z' }
    const [first, second] = offsetsAt(wall).map(offset => wall - offset * minute)
    if (first === undefined)
      return {
        kind: 'time that does not exist',
        problem: `${quoted(text)} does not exist: clocks in ${where.name} were put forward over it`,
        remedy: 'write it with its zone, or correct the recorder’s clock',
      }
    if (second === undefined) return { at: first, repeated: false }
    if (previous !== null && previous < first) return { at: first, repeated: true }
    if (previous !== null && previous < second) return { at: second, repeated: true }
    return {
      kind: 'time that occurs twice',
      problem: `${quoted(text)} occurs twice: clocks in ${where.name} were put back over it, and the row before does not tell which is meant`,
      remedy: 'write it with its zone, for example with Z behind it when it is UTC',
    }
  }

  return (written, previous) => {
    const text = written.trim()
    if (number.test(text)) return ofNumber(text)
    const parts = stamp.exec(text)
    if (!parts) return text === '' ? { kind: 'time', problem: 'the time is missing', remedy } : noTime(text)
    const [year, month, date, hour, minutes, seconds] = parts.slice(1, 7).map(part => Number(part ?? 0)) as number[]
    const [, , , , , , , fraction = '', zoneWritten] = parts
    const wall = Date.UTC(year!, month! - 1, date, hour, minutes, seconds, Math.round(Number(`0.${fraction}0`) * 1000))
    const sameDate = new Date(Date.UTC(year!, month! - 1, date)).getUTCDate() === date
    if (!sameDate || month! < 1 || month! > 12 || hour! > 23 || minutes! > 59 || seconds! > 59) return noTime(text)
    if (zoneWritten === undefined) return inZone(text, wall, previous)
    const at = wall - offsetWritten(zoneWritten) * minute
    return Number.isFinite(at) && at >= 0 ? { at, repeated: false } : noTime(text)
  }
}
