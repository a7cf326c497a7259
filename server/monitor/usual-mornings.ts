import { DateTime } from 'luxon'
import type { UsualMorning, VerdictChange } from '../../core/state.js'
import { median } from '../../core/statistics/index.js'
import { zoneOf } from '../zone.js'

const minute = 60_000
const day = 24 * 60 * minute
/** min after midnight; what becomes fit between these becomes so in the morning. Judgement, no source */
const morning = { from: 3 * 60, to: 13 * 60 }
/** ms; older mornings are forgotten */
export const rememberedMornings = 14 * day
/** mornings; fewer are no custom. Judgement, no source */
const leastDays = 3

interface Morning {
  /** ms; of the first change in it */
  at: number
  weekend: boolean
  /** min after midnight at which each machine first became fit, by machine */
  fit: Map<string, number>
}

/** From when machines become fit in the mornings, by what verdicts were shown. */
export class UsualMornings {
  /** by work class and date */
  private readonly mornings = new Map<string, Map<string, Morning>>()

  /** @param timeZone IANA name */
  constructor(private readonly timeZone: string) {}

  /** Takes a verdict that was shown; only those count that became fit in a morning. */
  take({ machine, workClass, at, verdict }: VerdictChange): void {
    if (verdict !== 'fit') return
    const { date, minutes, weekend } = this.local(at)
    if (minutes < morning.from || minutes >= morning.to) return
    const ofClass = this.mornings.get(workClass) ?? new Map<string, Morning>()
    this.mornings.set(workClass, ofClass)
    for (const [old, { at: then }] of ofClass) if (at - then > rememberedMornings) ofClass.delete(old)
    const found = ofClass.get(date) ?? { at, weekend, fit: new Map() }
    ofClass.set(date, found)
    found.fit.set(machine, Math.min(minutes, found.fit.get(machine) ?? minutes))
  }

  /**
   * When half of the machines were fit on mornings like the coming one, which is today's until 13:00, moved to its day.
   *
   * @param now ms
   * @returns null when too few such mornings are known
   */
  coming(workClass: string, now: number): UsualMorning | null {
    const today = this.local(now)
    const ahead = today.minutes < morning.to ? 0 : 1
    const noon = now + (ahead * 24 * 60 + 12 * 60 - today.minutes) * minute
    const { weekend, date, minutes } = this.local(noon)
    const times: number[] = []
    for (const [on, past] of this.mornings.get(workClass) ?? [])
      if (on !== date && past.weekend === weekend && now - past.at <= rememberedMornings)
        times.push(median([...past.fit.values()]))
    if (times.length < leastDays) return null
    // the hour by which clocks may have been changed in between is in the noon's own
    const moment = (of: number) => Math.floor(noon / minute) * minute + (Math.round(of) - minutes) * minute
    return {
      likely: moment(median(times)),
      earliest: moment(Math.min(...times)),
      latest: moment(Math.max(...times)),
      days: times.length,
    }
  }

  private local(at: number): { date: string; minutes: number; weekend: boolean } {
    const local = DateTime.fromMillis(at, { zone: zoneOf(this.timeZone) })
    return { date: local.toISODate()!, minutes: 60 * local.hour + local.minute, weekend: local.weekday >= 6 }
  }
}
