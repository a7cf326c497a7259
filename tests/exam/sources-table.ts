import type { Bar } from './bars.js'
import { quantile } from './quantile.js'
import type { SourcesRecord } from './sources.js'

/** of the movement: a cause of so much of it is the main one; a door's effect smaller than so much is not what anybody asks for */
const main = 0.5
const matters = 0.2
/** of the movement; a share that is not small */
const small = 0.1
/** of a door's effect, by which what is told of it may be off */
const off = 0.25

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

/** Whether the main cause is among those of which the answer says that one did most. */
const isAmong = (record: SourcesRecord): boolean => record.among.includes(mainOf(record)?.cause ?? '')
const isSingle = ({ among }: SourcesRecord): boolean => among.length === 1

/** A truth that is nearly tied: what is named first truly did as much as the main cause, but for a tenth of the movement. */
const isNearly = (record: SourcesRecord): boolean =>
  !isRight(record) && (toldFirst(record)?.true ?? 0) >= mainOf(record)!.true - small

const withShares = (records: readonly SourcesRecord[]) =>
  records.flatMap(({ causes }) => causes.flatMap(({ true: truly, told }) => (told ? [{ true: truly, told }] : [])))
const holds = ({ true: truly, told }: ReturnType<typeof withShares>[number]) => told.low <= truly && truly <= told.high

/** What sources did to machines where it matters, and what was told of it; `chance` is the part that thermostats make by chance. */
const effectsOf = (records: readonly SourcesRecord[], which: (cause: string) => boolean) =>
  records.flatMap(({ causes, moved, chance }) =>
    causes.flatMap(({ cause, effect }) =>
      which(cause) && effect && effect.off !== null && effect.true >= matters * moved
        ? [
            {
              ...{ part: effect.off / effect.true, size: effect.told / effect.true - 1, chance: chance / effect.true },
              isHeld: effect.shown.low <= effect.true && effect.true <= effect.shown.high,
            },
          ]
        : [],
    ),
  )

const isDoor = (cause: string) => cause.endsWith('-door')
const isVent = (cause: string) => cause.endsWith('-vent')
const percent = (count: number, of: number) => (of === 0 ? Number.NaN : (100 * count) / of)

/** What is promised of sources. */
export const sourcesBars = (records: readonly SourcesRecord[]): Bar[] => {
  const withMain = records.filter(mainOf)
  const single = withMain.filter(isSingle)
  const shares = withShares(records)
  const yoked = records.filter(record => record.yoked !== null)
  // a rerun that is off by more by chance alone tells nothing of a prediction
  const doors = effectsOf(records, isDoor).filter(({ chance }) => chance <= off)
  return [
    {
      ...{ name: 'true main source told first', unit: '%', least: 95, most: 100 },
      value: percent(withMain.filter(isRight).length, withMain.length),
    },
    {
      ...{ name: 'right where a single source is named as the main one', unit: '%', least: 95, most: 100 },
      value: percent(single.filter(isAmong).length, single.length),
    },
    {
      ...{ name: '90 % intervals of shares hold the true share', unit: '%', least: 85, most: 95 },
      value: percent(shares.filter(holds).length, shares.length),
    },
    {
      ...{ name: 'doors opened together said to be inseparable', unit: '%', least: 95, most: 100 },
      value: percent(yoked.filter(record => record.yoked).length, yoked.length),
    },
    {
      ...{ name: '"door shut" within 25 % of what it did', unit: '%', least: 95, most: 100 },
      value: percent(doors.filter(({ part }) => part <= off).length, doors.length),
    },
  ]
}

const middle = (values: readonly number[]) => (100 * quantile(values, 0.5)).toFixed(0)

/** Counts and spreads in words. */
export const sourcesTable = (records: readonly SourcesRecord[]): string => {
  const withMain = records.filter(mainOf)
  const kinds = [...new Set(withMain.map(record => kindOf(mainOf(record)!.cause)))].sort()
  const shares = withShares(records)
  const apart = shares.map(({ true: truly, told }) => Math.abs(told.likely - truly))
  const large = shares.filter(({ true: truly, told }) => Math.max(Math.abs(truly), Math.abs(told.likely)) > small)
  const several = withMain.filter(({ among }) => among.length > 1)
  const single = withMain.filter(isSingle)
  const none = withMain.filter(({ among }) => among.length === 0)
  const yoked = records.filter(record => record.yoked !== null)
  const effects = (which: (cause: string) => boolean) => {
    const of = effectsOf(records, which)
    const able = of.filter(({ chance }) => chance <= off)
    const more =
      able.length === 0
        ? ''
        : `: course off by ${middle(able.map(({ part }) => part))} % of it (median), size by ${middle(able.map(({ size }) => Math.abs(size)))} %, size within 25 % in ${able.filter(({ size }) => Math.abs(size) <= off).length}, within the interval that is shown in ${able.filter(({ isHeld }) => isHeld).length}`
    return `${of.length}, of these ${able.length} where a rerun is not off by over a quarter by chance${more}`
  }
  return [
    `${records.length} machines`,
    `with a main source (at least half of the movement): ${withMain.length}, told first: ${withMain.filter(isRight).length}, of these in a group of inseparable ones: ${withMain.filter(record => isRight(record) && mainOf(record)!.group !== null).length}; told first was another that truly did as much but for a tenth: ${withMain.filter(isNearly).length}`,
    ...kinds.map(kind => {
      const of = withMain.filter(record => kindOf(mainOf(record)!.cause) === kind)
      return `  ${kind}: ${of.length}, told first ${of.filter(isRight).length}`
    }),
    `named alone: ${single.length}, right ${single.filter(isAmong).length}; "X or Y, it cannot be told which": ${several.length}, the true one among them ${several.filter(isAmong).length}; none said to stand out: ${none.length}`,
    `90 % intervals hold the true share for ${shares.filter(holds).length} of ${shares.length}; where it is over a tenth, truly or as told, for ${large.filter(holds).length} of ${large.length}; told of no share: ${records.flatMap(({ causes }) => causes).filter(({ told }) => !told).length}`,
    `shares off by ${quantile(apart, 0.5).toFixed(2)} (median), ${quantile(apart, 0.95).toFixed(2)} (95th percentile)`,
    `doors that did at least a fifth of the movement: ${effects(isDoor)}`,
    `vents likewise: ${effects(isVent)}`,
    `heat sources likewise: ${effects(cause => !isDoor(cause) && !isVent(cause))}`,
    `doors opened together: ${yoked.length} machines, said ${yoked.filter(record => record.yoked).length}`,
  ].join('\n')
}

const kindOf = (cause: string): string => (isDoor(cause) ? 'a door' : isVent(cause) ? 'a vent' : cause)

/** Each machine with what is true and what is told of each cause. */
export const sourcesDetail = (records: readonly SourcesRecord[]): string =>
  records
    .map(record => {
      const { shop, machine, axis, moved, chance } = record
      const micrometres = (value: number) => (1e6 * value).toFixed(2)
      const rows = [...record.causes]
        .sort((a, b) => b.true - a.true)
        .map(({ cause, true: truly, told, effect }) =>
          [
            `  ${cause.padEnd(16)} true ${truly.toFixed(2)}`,
            told ? `told ${told.likely.toFixed(2)} (${told.low.toFixed(2)} to ${told.high.toFixed(2)})` : 'not told',
            effect ? `did ${micrometres(effect.true)} µm, told ${micrometres(effect.told)}` : '',
            effect && effect.off !== null ? `off by ${micrometres(effect.off)}` : '',
          ].join('  '),
        )
      const head = `shop ${shop} ${machine} ${axis}: moved ${micrometres(moved)} µm, by chance ${micrometres(chance)}`
      return [`${head}${mainOf(record) ? (isRight(record) ? ', right' : ', WRONG') : ''}`, ...rows].join('\n')
    })
    .join('\n')
