import type { Bar } from './bars.js'
import { quantile } from './quantile.js'
import type { SourcesRecord } from './sources.js'

/** of the movement: a cause of so much of it is the main one; a door's effect smaller than so much is not what anybody asks for */
const main = 0.5
const matters = 0.2

/** The cause with the largest true share, where that is at least half. */
const mainOf = ({ causes }: SourcesRecord) => {
  const first = [...causes].sort((a, b) => b.true - a.true)[0]
  return first && first.true >= main ? first : null
}

/** The cause that is told first. */
const toldFirst = ({ causes }: SourcesRecord) => causes.find(({ place }) => place === 0) ?? null

const isRight = (record: SourcesRecord): boolean => {
  const [truly, told] = [mainOf(record), toldFirst(record)]
  if (!truly || !told) return false
  return truly.cause === told.cause || (truly.group !== null && truly.group === told.group)
}

const doorEffects = (records: readonly SourcesRecord[], doors: (cause: string) => boolean) =>
  records.flatMap(({ causes, moved }) =>
    causes.flatMap(({ cause, effect }) =>
      doors(cause) && effect && effect.off !== null && effect.true >= matters * moved
        ? [{ ...effect, part: effect.off / effect.true }]
        : [],
    ),
  )

const isDoor = (cause: string) => cause.includes('door')
const percent = (count: number, of: number) => (of === 0 ? Number.NaN : (100 * count) / of)

/** What is promised of sources. */
export const sourcesBars = (records: readonly SourcesRecord[]): Bar[] => {
  const withMain = records.filter(mainOf)
  const yoked = records.filter(record => record.yoked !== null)
  const doors = doorEffects(records, isDoor)
  return [
    {
      ...{ name: 'true main source told first', unit: '%', least: 95, most: 100 },
      value: percent(withMain.filter(isRight).length, withMain.length),
    },
    {
      ...{ name: 'doors opened together said to be inseparable', unit: '%', least: 95, most: 100 },
      value: percent(yoked.filter(record => record.yoked).length, yoked.length),
    },
    {
      ...{ name: '"door shut" within 25 % of what it did', unit: '%', least: 95, most: 100 },
      value: percent(doors.filter(({ part }) => part <= 0.25).length, doors.length),
    },
  ]
}

/** Counts and spreads in words. */
export const sourcesTable = (records: readonly SourcesRecord[]): string => {
  const withMain = records.filter(mainOf)
  const kinds = [...new Set(withMain.map(record => kindOf(mainOf(record)!.cause)))].sort()
  const doors = doorEffects(records, isDoor)
  const others = doorEffects(records, cause => !isDoor(cause))
  const off = records.flatMap(({ causes }) => causes.flatMap(c => (c.told ? [Math.abs(c.told.likely - c.true)] : [])))
  const yoked = records.filter(record => record.yoked !== null)
  const effects = (of: readonly { part: number }[]) =>
    of.length === 0
      ? 'none'
      : `median off by ${(
          100 *
            quantile(
              of.map(({ part }) => part),
              0.5,
            )
        ).toFixed(0)} % of it, ${of.length} cases`
  return [
    `${records.length} machines`,
    `with a main source (at least half of the movement): ${withMain.length}, told first: ${withMain.filter(isRight).length}, of these in a group of inseparable ones: ${withMain.filter(record => isRight(record) && mainOf(record)!.group !== null).length}`,
    ...kinds.map(kind => {
      const of = withMain.filter(record => kindOf(mainOf(record)!.cause) === kind)
      return `  ${kind}: ${of.length}, told first ${of.filter(isRight).length}`
    }),
    `shares off by ${quantile(off, 0.5).toFixed(2)} (median), ${quantile(off, 0.95).toFixed(2)} (95th percentile)`,
    `doors that did at least a fifth of the movement: ${effects(doors)}`,
    `vents and heat sources likewise: ${effects(others)}`,
    `doors opened together: ${yoked.length} machines, said ${yoked.filter(record => record.yoked).length}`,
  ].join('\n')
}

const kindOf = (cause: string): string => (isDoor(cause) ? 'a door' : cause.includes('vent') ? 'a vent' : cause)
