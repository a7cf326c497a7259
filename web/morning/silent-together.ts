import type { MorningCheck } from '../../core/morning/index.js'

type Row = MorningCheck['sensors'][number]

/** so many that fell silent in the same minute have one cause, and one row says it */
const together = 4

const minuteOf = ({ kind, since, until }: Row) =>
  [kind, ...[since, until].map(at => at && Math.floor(at / 60_000))].join(' ')

/** What fell silent in the same minute, of one kind; each other row by itself. */
export const rowsOf = (all: readonly Row[]): [Row, ...Row[]][] =>
  all.flatMap(row => {
    const alike = all.filter(other => minuteOf(other) === minuteOf(row))
    const isOne = /^(late|lost|gap)$/.test(row.kind) && alike.length >= together
    const [first = row, ...more] = isOne ? alike : [row]
    return first === row ? [[row, ...more]] : []
  })
