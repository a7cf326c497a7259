import type { ComponentChildren } from 'preact'
import { notKnown } from '../../core/format.js'
import type { Signature } from '../../core/quantities.js'
import { Scrolls } from './scrolls.js'

/** A column: its heading, and what stands in it for a row. */
export interface Column<Row> {
  head: string
  /** numbers stand at their end, short texts are not broken, notes have room */
  form?: 'number' | 'nowrap' | 'note'
  /** it says what the row is about */
  names?: boolean
  /** what stands in it says itself what it is: on a card, or always, its heading is for those who hear the table only */
  plain?: 'on a card' | 'always'
  cell: (row: Row, index: number) => ComponentChildren
}

/** the heading of numbers, and the number for a row */
export type NumberColumn<Row> = readonly [head: string, cell: Column<Row>['cell']]

/** who put a row on record, and their note */
export const signedColumns: readonly Column<Signature>[] = [
  { head: 'Who', cell: ({ by }) => by },
  { head: 'Note', form: 'note', cell: ({ note }) => note || notKnown },
]

interface Props<Row> {
  caption: string
  columns: readonly (Column<Row> | NumberColumn<Row>)[]
  /** class of the table; "is-cards" if not given */
  look?: string
  rows: readonly Row[]
  keyOf: (row: Row, index: number) => string | number
  classOf?: (row: Row) => string
}

/**
 * Rows of things that are alike. On a narrow screen each row becomes a small card, its cells with their headings, unless
 * the table has a look of its own.
 */
export const Table = <Row,>({ caption, columns: written, look = 'is-cards', rows, keyOf, classOf }: Props<Row>) => {
  const columns = written.map(
    (column): Column<Row> => ('head' in column ? column : { head: column[0], form: 'number', cell: column[1] }),
  )
  return (
    <Scrolls label={caption}>
      <table class={`table ${look}`}>
        <caption class="hidden">{caption}</caption>
        <thead>
          <tr>
            {columns.map(({ head, form, plain }) => (
              <th key={head} scope="col" class={form === 'number' ? 'number' : ''}>
                {plain === 'always' ? <span class="hidden">{head}</span> : head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row, index) => (
            <tr key={keyOf(row, index)} class={classOf?.(row)}>
              {columns.map(({ head, form, names, plain, cell }) =>
                names ? (
                  <th key={head} scope="row" class={form}>
                    {cell(row, index)}
                  </th>
                ) : (
                  <td key={head} class={form} data-label={plain ? undefined : head}>
                    {cell(row, index)}
                  </td>
                ),
              )}
            </tr>
          ))}
        </tbody>
      </table>
    </Scrolls>
  )
}
