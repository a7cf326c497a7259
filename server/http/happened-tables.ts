import { DateTime } from 'luxon'
import type { HappenedAnswer } from '../../core/happened/index.js'
import { type Reader, sayMark } from '../../core/sentences/index.js'
import type { Shop } from '../../core/shop.js'
import { type Cell, csv, isoTime } from '../csv.js'

/** the tables of what happened, each a CSV */
export const happenedTables = ['course', 'events', 'jobs'] as const
type HappenedTable = (typeof happenedTables)[number]

/** A table of what happened on a machine as CSV; times in UTC, and the shop's with its difference from UTC. */
export const happenedCsv = (answer: HappenedAnswer, table: HappenedTable, shop: Shop, reader: Reader): string => {
  const both = (at: number): Cell[] => [
    isoTime(at),
    DateTime.fromMillis(at, { zone: shop.timeZone }).toISO({ suppressMilliseconds: true }),
  ]
  switch (table) {
    case 'course':
      return csv(
        [
          ...['timeUtc', 'shopTime', ...answer.nodes.map(({ node }) => `${node} Celsius`)],
          ...answer.axes.flatMap(({ axis }) => [`${axis} growthMetres`, `${axis} standardUncertaintyMetres`]),
          ...(answer.spindle ? ['spindle perSecond', 'spindle growthMetres', 'spindle standardUncertaintyMetres'] : []),
        ],
        answer.at.map((at, i) => [
          ...both(at),
          ...answer.nodes.map(({ value }) => value[i]!),
          ...answer.axes.flatMap(({ growth, uncertainty }) => [growth[i]!, uncertainty[i]!]),
          ...(answer.spindle
            ? [answer.spindle.speed[i]!, answer.spindle.growth[i]!, answer.spindle.uncertainty[i]!]
            : []),
        ]),
      )
    case 'events': {
      const spans = [
        ...answer.sources.flatMap(({ source, active }) =>
          (active ?? []).map(({ from, to }) => ({ from, to, kind: 'source', of: source, what: 'open or running' })),
        ),
        ...answer.wall.flatMap(({ workClass, bands }) =>
          bands.map(({ from, to, verdict }) => ({ from, to, kind: 'verdict', of: workClass, what: verdict })),
        ),
        ...answer.work.map(({ from, to, part }) => ({ from, to, kind: 'planned job', of: answer.machine, what: part })),
        ...answer.marks.map(mark => {
          const { text, more } = sayMark(mark, shop, reader)
          const of = 'sensor' in mark ? mark.sensor : answer.machine
          return { from: mark.at, to: mark.at, kind: mark.kind, of, what: more ? `${text}. ${more}` : text }
        }),
      ].sort((a, b) => a.from - b.from)
      return csv(
        ['kind', 'of', 'fromUtc', 'fromShopTime', 'toUtc', 'toShopTime', 'what'],
        spans.map(({ from, to, kind, of, what }) => [kind, of, ...both(from), ...both(to), what]),
      )
    }
    case 'jobs':
      return csv(
        ['workClass', 'begunFromUtc', 'begunFromShopTime', 'begunToUtc', 'begunToShopTime', 'cameOut', 'grantedMetres'],
        answer.jobs.flatMap(({ workClass, granted, stretches }) =>
          stretches.map(({ from, to, outcome }) => [workClass, ...both(from), ...both(to), outcome, granted]),
        ),
      )
  }
}
