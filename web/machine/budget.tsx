import { formatGrowth, formatPercent, notKnown, type UnitSystem } from '../../core/format.js'
import type { WorkClass } from '../../core/shop.js'
import type { AxisJob } from '../../core/state.js'
import { type NumberColumn, Table } from '../frame/table.js'
import { units } from '../preferences.js'
import { type BudgetRow, budgetPieces, budgetRows, type Piece } from './budget-rows.js'

const percent = (part: number): string => `${(part * 100).toFixed(3)}%`

/** a piece narrower than this part of the bar carries no number */
const roomForNumber = 0.03

interface BarProps {
  pieces: readonly Piece[]
  numberOf: (piece: Piece) => number
  /** m, all of the bar's width */
  domain: number
  grant: number
  tolerance: number
  label: string
}

const Bar = ({ pieces, numberOf, domain, grant, tolerance, label }: BarProps) => {
  let begun = 0
  return (
    <svg class="budget-bar" role="img" aria-label={label}>
      <defs>
        <pattern id="hatch" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
          <rect class="hatch-ground" width="7" height="7" />
          <rect class="hatch-line" width="2.5" height="7" />
        </pattern>
      </defs>
      <rect class="grant" x="0" width={percent(Math.min(grant / domain, 1))} y="0" height="100%" />
      {pieces.map(piece => {
        const at = begun / domain
        const wide = piece.length / domain
        const number = numberOf(piece)
        begun += piece.length
        return (
          <g key={`${piece.kind} ${piece.name}`} class={`piece is-${piece.kind} shade-${number % 2}`}>
            <rect
              x={percent(at)}
              width={percent(wide)}
              y="20%"
              height="60%"
              {...(piece.kind === 'uncertainty' && { fill: 'url(#hatch)' })}
            />
            {wide > roomForNumber && (
              <text x={percent(at + wide / 2)} y="50%" text-anchor="middle" dominant-baseline="central">
                {number}
              </text>
            )}
          </g>
        )
      })}
      <line class="budget-limit" x1={percent(grant / domain)} x2={percent(grant / domain)} y1="0" y2="100%" />
      {tolerance <= domain && (
        <line
          class="budget-tolerance"
          x1={percent(tolerance / domain)}
          x2={percent(tolerance / domain)}
          y1="0"
          y2="100%"
        />
      )}
    </svg>
  )
}

const amountOf = (piece: Piece | undefined, system: UnitSystem): string => {
  if (!piece) return notKnown
  const amount = formatGrowth(piece.amount, system, piece.kind === 'error' ? 'signed' : 'plain')
  return piece.kind === 'error' ? amount : `± ${amount}`
}

interface PartsProps {
  rows: readonly BudgetRow[]
  axes: readonly AxisJob[]
}

const Parts = ({ rows, axes }: PartsProps) => (
  <Table
    caption="Error budget: error parts, then standard uncertainties, largest first"
    rows={rows}
    keyOf={({ kind, name }) => `${kind} ${name}`}
    columns={[
      { head: 'No.', cell: (_, i) => i + 1 },
      { head: 'What', names: true, cell: ({ name }) => name },
      ...axes.map(({ axis }, k): NumberColumn<BudgetRow> => [axis, ({ pieces }) => amountOf(pieces[k], units.value)]),
      {
        head: 'Kind',
        form: 'note',
        plain: 'on a card',
        cell: ({ kind }) => (kind === 'error' ? 'error' : 'standard uncertainty'),
      },
    ]}
  />
)

interface Props {
  workClass: WorkClass
  axes: readonly AxisJob[]
}

/** What eats the tolerance: error and uncertainty of each axis stacked against what is granted to heat. */
export const Budget = ({ workClass, axes }: Props) => {
  if (axes.length === 0) return <p class="empty">Nothing to stack: the machine’s thermal error cannot be told now.</p>
  const { tolerance, share } = workClass
  const grant = share * tolerance
  const errors = axes.map(({ range }) => Math.max(Math.abs(range.low), Math.abs(range.high)))
  const totals = axes.map((a, i) => errors[i]! + a.uncertainty)
  // one scale for all axes, the grant always in view
  const domain = Math.max(grant * 1.2, ...totals.map(t => t * 1.03))
  const pieces = axes.map(budgetPieces)
  const rows = budgetRows(pieces)
  const numberOf = (piece: Piece) => 1 + rows.findIndex(r => r.kind === piece.kind && r.name === piece.name)
  const length = (m: number) => formatGrowth(m, units.value, 'plain')
  return (
    <div class="stack budget">
      {axes.map((a, i) => {
        const total = totals[i]!
        const beside = total > grant ? 'more than granted' : 'within what is granted'
        return (
          <div class="stack budget-axis" key={a.axis}>
            <h3>
              {a.axis} {formatPercent((100 * total) / tolerance)}{' '}
              <span class="quiet">
                of the tolerance, {beside}: error {length(errors[i]!)}, uncertainty ± {length(a.uncertainty)}
              </span>
            </h3>
            <Bar
              pieces={pieces[i]!}
              numberOf={numberOf}
              domain={domain}
              grant={grant}
              tolerance={tolerance}
              label={`${a.axis}: ${length(total)}, ${beside} (${length(grant)}); the table below says of what`}
            />
          </div>
        )
      })}
      <p class="quiet">
        Shaded up to the line: the {length(grant)} granted to heat, of {length(tolerance)} tolerance
        {tolerance <= domain && ' (broken line)'}. Solid pieces are error, hatched ones uncertainty (k = 2, shared out
        by the squares of its parts); numbers are those of the table. The verdict counts as much of the uncertainty as
        the shop’s decision rule asks for.
      </p>
      <Parts rows={rows} axes={axes} />
    </div>
  )
}
